// On paper: no controls, nothing clipped, light colours, few sheets.

// Eight sheets for an engine, whatever it shows, and for another page of up to 4,000 words, tables
// included; there one more for every further 800, for two circuits, and for forty typed examples.
const sheetsFor = (isEngine, words, circuits, examples) =>
  isEngine ? 8 : 8 + Math.max(0, Math.ceil((words - 4000) / 800)) + Math.ceil(circuits / 2) + Math.ceil(examples / 40);
const LEAST_POINTS = 7;
// A4 less the margins of the style sheet, in CSS pixels.
const pixels = (millimetres) => Math.round(((millimetres - 28) / 25.4) * 96);
const UPRIGHT = { width: pixels(210), height: pixels(297) };
const LANDSCAPE = { width: pixels(297), height: pixels(210) };

function printFaults(leastPoints) {
  const faults = [];
  for (const control of document.querySelectorAll("button, input, select, nav, .skip, .find, .switch")) {
    if (control.checkVisibility({ checkVisibilityCSS: true }) && control.getClientRects().length > 0 && !control.closest(".hush")) {
      faults.push(`printed: ${control.outerHTML.slice(0, 60)}`);
    }
  }
  for (const box of document.querySelectorAll(".scroll, pre")) {
    if (getComputedStyle(box).overflowY !== "visible" && box.scrollHeight > box.clientHeight + 1) faults.push(`clipped in height: ${box.innerText.slice(0, 40)}`);
    const width = document.documentElement.clientWidth;
    const table = box.querySelector("table");
    if (table && table.getBoundingClientRect().right > width + 1) faults.push(`wider than the paper: ${table.caption?.innerText ?? "a table"}`);
  }
  const small = new Set();
  for (const element of document.querySelectorAll("main *")) {
    const hasText = [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim() !== "");
    const points = parseFloat(getComputedStyle(element).fontSize) * 0.75;
    if (hasText && points < leastPoints - 0.05 && element.checkVisibility() && !element.closest("svg, sup, .mark, .hush")) {
      small.add(`${points.toFixed(1)} pt: ${element.innerText.slice(0, 40)}`);
    }
  }
  faults.push(...small);
  const sheet = getComputedStyle(document.querySelector(".sheet")).backgroundColor;
  if (sheet !== "rgb(255, 255, 255)") faults.push(`paper is ${sheet}`);
  return faults;
}

// What an engine's sheet for the wall must say; the address asks for that sheet alone.
function wallFaults() {
  const seen = (which) => [...document.querySelectorAll(which)].filter((it) => it.checkVisibility() && it.getBoundingClientRect().height > 1 && !it.closest(".shot"));
  const faults = [];
  const must = { title: "h1", caution: ".wall-caution", "date of issue": ".print-foot" };
  if (document.querySelector(".parameters")) must["key figures"] = ".parameters td .figure";
  if (document.querySelector(".wall.drawn")) Object.assign(must, { section: ".wall svg", "what happens in a shot": ".wall ol li" });
  for (const [what, which] of Object.entries(must)) if (seen(which).length === 0) faults.push(`no ${what}`);
  for (const other of seen("main h2")) faults.push(`also printed: ${other.textContent}`);
  const pieces = [...document.querySelectorAll(".wall use")].filter((use) => use.getBoundingClientRect().width === 0);
  if (pieces.length > 0) faults.push(`${pieces.length} pieces of the section are not drawn`);
  return faults;
}

export async function checkPrint(tally, browser, pages, at) {
  const context = await browser.newContext({ viewport: UPRIGHT, colorScheme: "dark" });
  const page = await context.newPage();
  await page.emulateMedia({ media: "print" });
  for (const name of pages) {
    await page.goto(at(name));
    const landscape = await page.evaluate(() => getComputedStyle(document.body).page === "wide");
    await page.setViewportSize(landscape ? LANDSCAPE : UPRIGHT);
    tally.check(name, "print", await page.evaluate(printFaults, LEAST_POINTS));
    const sheetsOn = async (paper) => ((await page.pdf(paper)).toString("latin1").match(/\/Type\s*\/Page\b/g) ?? []).length;
    const sheets = await sheetsOn({ preferCSSPageSize: true });
    const words = await page.evaluate(() => document.querySelector("main").innerText.split(/\s+/).length);
    const drawn = await page.evaluate(() =>
      [".picture svg", "pre"].map((which) => document.querySelectorAll(which).length),
    );
    const isEngine = (await page.locator(".engine-facts").count()) > 0;
    const most = sheetsFor(isEngine, words, ...drawn);
    tally.check(name, "sheets of paper", sheets >= 1 && sheets <= most ? [] : [`${sheets} for ${words} words, budget 1 to ${most}`]);
    if (isEngine) {
      const letter = await sheetsOn({ format: "Letter" });
      tally.check(name, "sheets of Letter", letter <= most ? [] : [`${letter}, budget ${most}`]);
      await page.goto(`${at(name)}#_wall`);
      const wall = [await sheetsOn({ preferCSSPageSize: true }), await sheetsOn({ format: "Letter" })];
      tally.check(name, "one sheet for the wall", [
        ...(await page.evaluate(wallFaults)),
        ...wall.filter((sheets) => sheets !== 1).map((sheets) => `${sheets} sheets`),
      ]);
      await page.goto("about:blank");
    }
  }
  await context.close();
}
