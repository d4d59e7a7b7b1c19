// A reader with a phone who has never seen the site: what runs at the higher pressure, by what factor
// figures differ, whether two fire in the same order, where a figure comes from, who keeps most.
// And the bench with two, three and four engines: each tool does what it says.

import { openMenu } from "./controls.mjs";

const PHONE = { width: 360, height: 800 };
// Windows of a phone that an answer may lie below the top, and taps that it may take.
const MOST_SCREENS = 2;
const MOST_TAPS = 4;

const screensTo = (page, which) =>
  page.locator(which).first().evaluate((element) => element.getBoundingClientRect().bottom / innerHeight);

// Taps are counted; the answers are those of the tables of the program itself.
function counted(page) {
  let taps = 0;
  return {
    tap: async (which) => {
      taps += 1;
      await which.click();
    },
    taps: () => taps,
  };
}

async function near(page, faults, what, which, screens = MOST_SCREENS) {
  const found = await screensTo(page, which);
  if (found > screens) faults.push(`${what}: ${found.toFixed(1)} windows down`);
}

async function askFaults(page, at) {
  const faults = [];
  await page.goto(at("engines.html"));
  // Two that state the most.
  const ticks = await page.evaluate(() => {
    const rows = [...document.querySelectorAll("#_engines tbody tr")];
    const stated = (row) => row.querySelectorAll("td data.figure").length;
    const best = [...rows].sort((a, b) => stated(b) - stated(a)).slice(0, 2);
    return best.map((row) => row.querySelector("input").value);
  });
  const hand = counted(page);
  for (const engine of ticks) await hand.tap(page.locator(`#_engines input[value="${engine}"]`));
  await hand.tap(page.locator("[data-benches]"));
  await page.waitForFunction(() => document.querySelectorAll("#_bench-table tbody tr").length > 0);
  await page.waitForFunction(() => document.querySelectorAll(".moment").length === 2, null, { timeout: 5000 }).catch(() => {});
  // Do they fire in the same order?
  const order = await page.textContent("#_bench-answer");
  if (!/^Do they fire in the same order\? .+: (yes|no|not decided|not known), /.test(order)) faults.push(`no answer about the order: "${order}"`);
  await near(page, faults, "whether they fire in the same order", "#_bench-answer");
  // Which is higher, and by what factor?
  await hand.tap(page.locator('[data-goes="_bench-figures-head"]'));
  await near(page, faults, "figures", "#_bench-table tbody tr:nth-child(2)");
  if (hand.taps() > MOST_TAPS) faults.push(`${hand.taps()} taps to the figures`);
  if ((await page.locator("#_bench-table .ratio .figure").count()) === 0) faults.push("no factor between any two figures");
  // Where does it come from?
  const figure = page.locator("#_bench-table a.fig").first();
  const anchor = (await figure.getAttribute("href")).split("#")[1];
  await figure.click();
  await page.waitForFunction((id) => {
    const box = document.getElementById(id)?.getBoundingClientRect();
    return box && box.height > 0 && box.top < innerHeight && box.bottom > 0;
  }, anchor, { timeout: 5000 }).catch(() => faults.push(`${anchor} is not brought into the window`));
  // Who keeps, or has, most of something?
  await page.goto(at("engines.html"));
  const columns = await page.evaluate(() =>
    [...document.querySelectorAll("#_engines thead th")].flatMap((head, column) => (head.matches(".num[data-descending]") ? [column] : [])),
  );
  for (const column of columns) {
    await page.selectOption('[data-orders="_engines"]', `${column} descending`);
    const values = await page.evaluate((column) => {
      const cells = [...document.querySelectorAll("#_engines tbody tr")].map((row) => row.cells[column].querySelector("data.figure"));
      return cells.filter(Boolean).map((figure) => Number(figure.value));
    }, column);
    if (values.some((value, at) => at > 0 && value > values[at - 1])) faults.push(`column ${column} is not sorted: ${values}`);
    const [said, first] = [await page.textContent("[data-sorted]"), await page.textContent("#_engines tbody tr a")];
    if (!said.includes(`Largest: ${first}`) || !said.includes(`${values.length} of `)) faults.push(`column ${column}: "${said}" with ${first} on top and ${values.length} stated`);
  }
  if (columns.length === 0) faults.push("no column of figures to sort by");
  // A press on a column's head does the same where there is room for heads.
  await page.setViewportSize({ width: 1280, height: 800 });
  for (const way of ["descending", "ascending", null]) {
    await page.locator("#_engines thead th .sort").nth(2).click();
    const sorted = await page.locator("#_engines thead th").nth(2).getAttribute("aria-sort");
    if (sorted !== way) faults.push(`after a press the column is ${sorted}, not ${way}`);
  }
  await page.setViewportSize(PHONE);
  return faults;
}

async function rowsOf(page) {
  return page.evaluate(() =>
    [...document.querySelectorAll("#_bench-table tbody tr:not(.group)")].map((row) => ({
      label: row.querySelector(".name").textContent,
      same: row.classList.contains("same"),
      cells: row.cells.length - 1,
      factor: Math.max(0, ...[...row.querySelectorAll(".ratio > .figure:first-child")].map((ratio) => Math.abs(Math.log(ratio.value ?? ratio.getAttribute("value"))))),
    })),
  );
}

async function toolFaults(page, at, engines) {
  const faults = [];
  const count = engines.length;
  await page.goto("about:blank");
  await page.goto(`${at("bench.html")}#e=${engines.join(",")}`);
  await page.waitForFunction(() => document.querySelectorAll("#_bench-table tbody tr").length > 0);
  await page.waitForFunction((count) => document.querySelectorAll(".moment").length === count, count, { timeout: 5000 }).catch(() => faults.push("not every shot is there"));
  const strange = await page.evaluate(() =>
    [...document.querySelectorAll(".moment")].filter((moment) => {
      const pictures = [...moment.querySelectorAll(".pose > *")];
      const uses = [...moment.querySelectorAll("use")];
      const isOwn = (use) => moment.contains(document.getElementById(use.getAttribute("href").slice(1)));
      return pictures.length === 0 || uses.length === 0 || !pictures.every((it) => it instanceof SVGSVGElement) || !uses.every(isOwn);
    }).length,
  );
  if (strange > 0) faults.push(`${strange} shots are no pictures, or show pieces of another engine`);
  const all = await rowsOf(page);
  if (all.some((row) => row.cells !== count)) faults.push(`not ${count} columns`);
  const answers = (await page.textContent("#_bench-answer")).match(/ beside /g) ?? [];
  if (answers.length !== count - 1) faults.push(`${answers.length} answers about the order`);
  await page.click("#_bench-differences");
  const differing = await rowsOf(page);
  if (differing.some((row) => row.same) || differing.length !== all.filter((row) => !row.same).length) faults.push("only differences: rows of equals, or others lost");
  const folded = (await page.textContent("#_bench-folded")).split(", ").length;
  if (differing.length < all.length && folded < all.length - differing.length) faults.push("what was left out is not named");
  await page.click("#_bench-largest");
  const sorted = await rowsOf(page);
  if (sorted.some((row, at) => at > 0 && row.factor > sorted[at - 1].factor + 1e-6)) faults.push("largest first: not by size");
  await page.click("#_bench-largest");
  await page.click("#_bench-differences");
  const word = all.at(-1).label.split(" ")[0];
  await page.fill("#_bench-sieve", word);
  const sifted = await rowsOf(page);
  if (sifted.length === 0 || sifted.length > all.length || !sifted.some((row) => row.label === all.at(-1).label)) faults.push(`"${word}" finds ${sifted.length} rows`);
  await page.fill("#_bench-sieve", "");
  const lines = await page.evaluate(async () => {
    const file = document.getElementById("_bench-file").href;
    return new Promise((done) => {
      const asked = new XMLHttpRequest();
      asked.onload = () => done(asked.responseText.trim().split("\r\n"));
      asked.onerror = () => done(null);
      asked.open("GET", file);
      try { asked.send(); } catch { done(null); }
    });
  });
  // The policy of the page may forbid to read the file back; that it is offered is the least.
  if (lines !== null && lines.length !== all.length + 1) faults.push(`${lines.length} lines for ${all.length} rows`);
  const milestones = await page.evaluate(() => {
    const rows = [...document.querySelectorAll("#_bench-milestones tbody tr")];
    return rows.map((row, at) => {
      row.querySelector("button").click();
      const current = [...document.querySelectorAll("#_bench-milestones [aria-current]")];
      return current.length === 1 && current[0] === row && Number(document.getElementById("_bench-at").value) === at + 1;
    });
  });
  if (milestones.length === 0 || milestones.includes(false)) faults.push("a milestone does not lead to its moment");
  await page.click("#_bench-between");
  if ((await page.locator("#_bench-milestones .between:visible").count()) === 0) faults.push("no events between milestones");
  await page.evaluate(() => document.querySelector(".turn").click());
  await page.waitForTimeout(50);
  if (!page.url().includes(`e=${engines[1]},${engines[0]}`)) faults.push(`another reference: ${page.url()}`);
  await openMenu(page);
  for (const system of ["si", "us"]) {
    await page.check(`input[name=units][value=${system}]`, { force: true });
    const wrong = await page.evaluate((name) => [...document.querySelectorAll("#_bench-table .figure[data-si]")].filter((f) => f.textContent !== f.getAttribute(`data-${name}`)).length, system);
    if (wrong > 0) faults.push(`${wrong} figures not in ${system}`);
  }
  await page.check("input[name=units][value=written]", { force: true });
  return faults;
}

export async function checkQuestions(tally, browser, pages, at) {
  if (!pages.includes("bench.html") || !pages.includes("engines.html")) return;
  const context = await browser.newContext({ viewport: PHONE });
  const page = await context.newPage();
  await page.goto(at("bench.html"));
  const engines = await page.evaluate(() => [...document.querySelectorAll("#_picks input")].map((box) => box.value));
  if (engines.length >= 2) tally.check("engines.html", "a reader's questions on a phone", await askFaults(page, at));
  for (let count = 2; count <= Math.min(4, engines.length); count += 1) {
    tally.check("bench.html", `${count} engines side by side`, await toolFaults(page, at, engines.slice(0, count)));
  }
  await context.close();
}
