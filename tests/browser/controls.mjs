// Units, paper and "only differences": each does what it says, says so, and can be undone.

import { axeFaults } from "./looks.mjs";

const MIN_TARGET = 44;
const DIFFERENCES = "button[data-hides=same]";

// On a narrow screen the switches wait behind the menu.
export async function openMenu(page) {
  const menu = page.locator(".menu");
  if (await menu.isVisible()) await menu.click();
}

async function unitFaults(page, address) {
  const faults = [];
  await page.goto(address);
  await openMenu(page);
  const main = () => page.evaluate(() => document.querySelector("main").innerHTML);
  const before = await main();
  const differs = await page.evaluate(() =>
    [...document.querySelectorAll(".figure[data-si]")].some((f) => f.dataset.si !== f.textContent),
  );
  for (const system of ["si", "us"]) {
    await page.check(`input[name=units][value=${system}]`, { force: true });
    const wrong = await page.evaluate(
      (name) => [...document.querySelectorAll(".figure[data-si]")].filter((f) => f.textContent !== f.getAttribute(`data-${name}`)).length,
      system,
    );
    if (wrong > 0) faults.push(`${wrong} figures not in ${system}`);
    if (system === "si" && differs && (await main()) === before) faults.push("nothing changed");
    const said = await page.textContent("#_announce");
    if (!said) faults.push(`${system} is not announced`);
  }
  await page.reload();
  await openMenu(page);
  const kept = await page.isChecked("input[name=units][value=us]");
  if (!kept) faults.push("the choice is not kept");
  await page.check("input[name=units][value=written]", { force: true });
  if ((await main()) !== before) faults.push("switching back does not give the identical text");
  return faults;
}

async function targetFaults(page) {
  return page.evaluate((least) => {
    const faults = [];
    for (const control of document.querySelectorAll("button, input, .nav a")) {
      const label = control.closest("label");
      const box = (label ?? control).getBoundingClientRect();
      if (box.width === 0) continue;
      if (box.height < least - 0.5 || box.width < least - 0.5) {
        faults.push(`${Math.round(box.width)} × ${Math.round(box.height)}: ${(label ?? control).innerText || control.outerHTML.slice(0, 60)}`);
      }
    }
    return faults;
  }, MIN_TARGET);
}

async function differencesFaults(page) {
  const button = page.locator(DIFFERENCES).first();
  await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => (fold.open = true)));
  const same = page.locator("tr.same");
  const faults = [];
  const count = await same.count();
  await button.click();
  for (let at = 0; at < count; at++) if (await same.nth(at).isVisible()) faults.push("a row of equals still shows");
  if ((await button.getAttribute("aria-pressed")) !== "true") faults.push("not shown as pressed");
  await button.click();
  for (let at = 0; at < count; at++) if (!(await same.nth(at).isVisible())) faults.push("a row did not come back");
  return faults;
}

async function schemeFaults(page) {
  const faults = [];
  const ground = () => page.evaluate(() => getComputedStyle(document.querySelector(".sheet")).backgroundColor);
  await page.check("input[name=scheme][value=dark]", { force: true });
  const dark = await ground();
  await page.check("input[name=scheme][value=light]", { force: true });
  const light = await ground();
  if (dark === light) faults.push(`both papers are ${dark}`);
  await page.check("input[name=scheme][value=system]", { force: true });
  if ((await ground()) !== light) faults.push("the system's choice does not come back");
  return faults;
}

// Two engines set side by side: their figures, the milestones of their shots, their circuits.
async function benchFaults(page, address) {
  await page.goto(address);
  const boxes = page.locator("#_picks input");
  for (const at of [0, 1]) await boxes.nth(at).check();
  await page.waitForFunction(() => document.querySelectorAll("#_bench-table tbody tr").length > 0);
  await page.waitForLoadState("networkidle");
  return page.evaluate(() => {
    const faults = [];
    const rows = [...document.querySelectorAll("#_bench-milestones tbody tr")];
    if (rows.length < 5) faults.push(`${rows.length} milestones`);
    const places = rows.map((row) => parseInt(row.cells[1].textContent, 10)).filter((place) => !Number.isNaN(place));
    if (places.some((place, at) => at > 0 && place < places[at - 1])) faults.push(`the reference is not in its own order: ${places}`);
    const pictures = [...document.querySelectorAll("#_bench-circuits img")];
    if (pictures.length !== 2) faults.push(`${pictures.length} circuits`);
    for (const picture of pictures) if (!picture.naturalWidth) faults.push(`no picture at ${picture.src}`);
    const slider = document.getElementById("_bench-at");
    if (Number(slider.max) !== rows.length) faults.push(`${slider.max} stops for ${rows.length} milestones`);
    for (let stop = 0; stop <= rows.length; stop += 1) {
      slider.value = stop;
      slider.dispatchEvent(new Event("input"));
      [...document.querySelectorAll(".moment")].forEach((column, at) => {
        const shown = [...column.querySelectorAll(".pose")].filter((pose) => pose.getBoundingClientRect().height > 0);
        if (shown.length !== 1) faults.push(`${shown.length} pictures of one engine at stop ${stop}`);
        const told = stop && parseInt(rows[stop - 1].cells[at + 1].textContent, 10);
        const said = parseInt(column.querySelector("p").textContent, 10);
        if (!Number.isNaN(told) && told !== said) faults.push(`stop ${stop} shows moment ${said} and not ${told}`);
        const refers = [...shown[0].querySelectorAll("use")].filter((use) => !document.querySelector(use.getAttribute("href")));
        if (refers.length) faults.push(`${refers.length} pieces of a picture are not there`);
      });
    }
    if (document.querySelectorAll(".moment").length !== 2) faults.push("not two shots beside each other");
    // What is to scale is as many pixels a millimetre in every column.
    const engines = [...document.querySelectorAll("#_picks input:checked")].map((box) => box.value);
    const perMillimetre = [...document.querySelectorAll(".moment")].map((column, at) => {
      const picture = [...column.querySelectorAll(".pose > svg")].find((svg) => svg.getBoundingClientRect().width > 0);
      const scale = window.gaugebookPoses[engines[at]].scale;
      return scale && (picture.getBoundingClientRect().width / picture.viewBox.baseVal.width) * scale;
    });
    const [one, other] = perMillimetre;
    if (one && other && Math.abs(one / other - 1) > 0.01) faults.push(`${one} and ${other} pixels a millimetre side by side`);
    return faults;
  });
}

// A finger that lands on the slider of the shot and scrolls the page must not have moved the shot.
async function swipeFaults(browser, address) {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true });
  const page = await context.newPage();
  await page.goto(address);
  const slider = page.locator("#_scrub-at");
  await slider.evaluate((it) => it.scrollIntoView({ block: "center" }));
  const box = await slider.boundingBox();
  const finger = await context.newCDPSession(page);
  const x = box.x + box.width * 0.7;
  const y = box.y + box.height / 2;
  const touch = (type, touchPoints) => finger.send("Input.dispatchTouchEvent", { type, touchPoints });
  const from = await page.evaluate(() => scrollY);
  await touch("touchStart", [{ x, y }]);
  for (let step = 1; step <= 10; step += 1) await touch("touchMove", [{ x, y: y - step * 15 }]);
  await touch("touchEnd", []);
  await page.waitForFunction((before) => scrollY > before, from);
  const value = await slider.inputValue();
  await context.close();
  return value === "0" ? [] : [`scrolling over the slider has moved the shot to ${value}`];
}

export async function checkControls(tally, browser, pages, at) {
  for (const name of pages) {
    const context = await browser.newContext({ viewport: { width: 360, height: 800 }, colorScheme: "light" });
    const page = await context.newPage();
    tally.check(name, "units", await unitFaults(page, at(name)));
    tally.check(name, "size of targets on a phone", await targetFaults(page));
    tally.check(name, "paper", await schemeFaults(page));
    if ((await page.locator(DIFFERENCES).count()) > 0) {
      tally.check(name, "only differences", await differencesFaults(page));
      await page.locator(DIFFERENCES).first().click();
      tally.check(`${name}, only differences`, "accessibility", await axeFaults(page));
    }
    await context.close();
  }
  for (const name of pages.filter((page) => page === "engines/rowan.html")) {
    tally.check(name, "scrolls over its slider", await swipeFaults(browser, at(name)));
  }
  const [first, second] = [pages[0], pages.at(-1)];
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(at(first));
  await page.check("input[name=units][value=si]", { force: true });
  if (pages.includes("bench.html")) tally.check("bench.html", "two engines side by side", await benchFaults(page, at("bench.html")));
  await page.goto(at(second));
  const kept = await page.isChecked("input[name=units][value=si]");
  tally.check(second, `keeps the units chosen on ${first}`, kept ? [] : ["not SI"]);
  await context.close();
}
