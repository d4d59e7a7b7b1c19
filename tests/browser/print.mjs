// On paper: no controls, nothing clipped, light colours, few sheets.

const MOST_SHEETS = 8;
// A4 less the margins of the style sheet, in CSS pixels.
const pixels = (millimetres) => Math.round(((millimetres - 28) / 25.4) * 96);
const UPRIGHT = { width: pixels(210), height: pixels(297) };
const LANDSCAPE = { width: pixels(297), height: pixels(210) };

function printFaults() {
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
  const sheet = getComputedStyle(document.querySelector(".sheet")).backgroundColor;
  if (sheet !== "rgb(255, 255, 255)") faults.push(`paper is ${sheet}`);
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
    tally.check(name, "print", await page.evaluate(printFaults));
    const pdf = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
    const sheets = (pdf.match(/\/Type\s*\/Page\b/g) ?? []).length;
    tally.check(name, "sheets of paper", sheets >= 1 && sheets <= MOST_SHEETS ? [] : [`${sheets}, budget 1 to ${MOST_SHEETS}`]);
  }
  await context.close();
}
