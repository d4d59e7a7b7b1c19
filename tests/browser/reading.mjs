// Without scripts everything is there and no control is dead; with them the page stays light, does
// not jump, and is set so that it can be read.

const MOST_NODES = 3000;
const MOST_SHIFT = 0.01;
const MOST_CHARACTERS = 85;

// Lines and letters of all the pictures of a page; what several show stands once.
const MOST_NODES_IN_PICTURES = 1500;

// The moments of a shot are put away one behind the other by the script; that all of them can be
// reached is looked at elsewhere. Controls, and what readers choose on the bench, need the script.
const textOfMain = () => {
  const main = document.querySelector("main");
  const apart = [...main.querySelectorAll("#_poses, #_scrub, #_bench, .table-tools, noscript")].map((box) => box.innerText);
  const text = apart.reduce((all, box) => all.replace(box, ""), main.innerText);
  return text.replace(/\s+/g, " ").trim();
};

function deadControls() {
  const seen = (element) => element.checkVisibility({ checkVisibilityCSS: true }) && element.getClientRects().length > 0;
  return [...document.querySelectorAll("button, input, select, textarea, [role=button]")]
    .filter(seen)
    .map((element) => element.outerHTML.slice(0, 80));
}

function craftFaults(most) {
  const faults = [];
  for (const paragraph of document.querySelectorAll(".text p, .text li")) {
    const style = getComputedStyle(paragraph);
    if (parseFloat(style.fontSize) < 14) faults.push(`${style.fontSize} letters: ${paragraph.innerText.slice(0, 40)}`);
    const range = document.createRange();
    range.selectNodeContents(paragraph);
    const lines = new Set([...range.getClientRects()].map((box) => Math.round(box.bottom))).size;
    const perLine = paragraph.innerText.length / lines;
    if (lines > 3 && perLine > most) faults.push(`${Math.round(perLine)} characters a line: ${paragraph.innerText.slice(0, 40)}`);
  }
  for (const cell of document.querySelectorAll("td.num")) {
    const style = getComputedStyle(cell);
    if (style.textAlign !== "right" && style.textAlign !== "end") faults.push(`number not right-aligned: ${cell.innerText}`);
    if (!style.fontVariantNumeric.includes("tabular-nums")) faults.push(`figures not tabular: ${cell.innerText}`);
  }
  for (const cell of document.querySelectorAll("td")) {
    if (cell.textContent.trim() === "") faults.push(`empty cell in ${cell.closest("table").caption?.innerText ?? "a table"}`);
  }
  let level = 0;
  for (const heading of document.querySelectorAll("h1, h2, h3, h4, h5, h6")) {
    const now = Number(heading.tagName.charAt(1));
    if (now > level + 1) faults.push(`heading level ${now} after ${level}: ${heading.innerText}`);
    level = now;
  }
  for (const table of document.querySelectorAll("table")) {
    if (!table.caption && !table.closest("[aria-label], [aria-labelledby]")) faults.push("a table without a name");
  }
  for (const head of document.querySelectorAll("th:not([scope])")) faults.push(`head without scope: ${head.innerText}`);
  return faults;
}

export async function checkReading(tally, browser, pages, at) {
  const plain = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 1280, height: 800 } });
  const scripted = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const without = await plain.newPage();
  const withScripts = await scripted.newPage();
  for (const name of pages) {
    await without.goto(at(name));
    await withScripts.goto(at(name));
    tally.check(name, "no dead control without scripts", await without.evaluate(deadControls));
    const [bare, full] = [await without.evaluate(textOfMain), await withScripts.evaluate(textOfMain)];
    const missing = full === bare ? [] : [`${bare.length} characters without scripts, ${full.length} with`];
    tally.check(name, "all text without scripts", missing);
    tally.check(name, "set for reading", await withScripts.evaluate(craftFaults, MOST_CHARACTERS));
    const [nodes, drawn] = await withScripts.evaluate(() =>
      ["*:not(svg *)", "svg *"].map((which) => document.querySelectorAll(which).length),
    );
    tally.check(name, "size of the page", [
      ...(nodes > MOST_NODES ? [`${nodes} elements, budget ${MOST_NODES}`] : []),
      ...(drawn > MOST_NODES_IN_PICTURES ? [`${drawn} elements in pictures, budget ${MOST_NODES_IN_PICTURES}`] : []),
    ]);
    const shift = await withScripts.evaluate(
      () =>
        new Promise((done) => {
          let sum = 0;
          new PerformanceObserver((list) => {
            for (const entry of list.getEntries()) sum += entry.value;
          }).observe({ type: "layout-shift", buffered: true });
          setTimeout(() => done(sum), 50);
        }),
    );
    tally.check(name, "nothing jumps", shift > MOST_SHIFT ? [`layout shift ${shift}`] : []);
  }
  await plain.close();
  await scripted.close();
}
