// Each page at each width, light and dark: nothing from outside, nothing in the console, no
// accessibility fault, no sideways scroll.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const WIDTHS = [360, 768, 1280];
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
// Text spacing that WCAG 1.4.12 says a page must bear.
const SPACING = "* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important; } p { margin-bottom: 2em !important; }";

// Also used by checks that open something first.
export async function axeFaults(page) {
  await page.evaluate(AXE);
  const results = await page.evaluate(
    (tags) =>
      globalThis.axe.run(document, {
        runOnly: { type: "tag", values: tags },
        rules: { "color-contrast-enhanced": { enabled: true }, "target-size": { enabled: true } },
        resultTypes: ["violations"],
        preload: false,
      }),
    TAGS,
  );
  return results.violations.flatMap((violation) =>
    violation.nodes.map((node) => `${violation.id}: ${node.target.join(" ")}: ${node.failureSummary?.split("\n")[1]?.trim() ?? ""}`),
  );
}

// Elements that stick out to the right of the window, unless they lie in a box that scrolls.
export async function sidewaysFaults(page) {
  return page.evaluate(() => {
    const width = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= width) return [];
    const faults = [];
    for (const element of document.querySelectorAll("body *")) {
      if (element.closest(".scroll, pre")) continue;
      const box = element.getBoundingClientRect();
      if (box.right > width + 1 && box.width > 0) faults.push(`${element.tagName.toLowerCase()}.${element.className}: reaches ${Math.round(box.right)} of ${width}`);
    }
    return faults.length > 0 ? faults : [`${document.documentElement.scrollWidth} wide in ${width}`];
  });
}

export function listen(page) {
  const heard = { requests: [], messages: [] };
  page.on("request", (request) => {
    if (!/^(file|data):/.test(request.url())) heard.requests.push(request.url());
  });
  // What is given up because the next page is asked for was not missing.
  page.on("requestfailed", (request) => {
    const why = request.failure()?.errorText;
    if (why !== "net::ERR_ABORTED") heard.requests.push(`failed: ${request.url()}: ${why}`);
  });
  page.on("console", (message) => heard.messages.push(`${message.type()}: ${message.text()}`));
  page.on("pageerror", (error) => heard.messages.push(`error: ${error.message}`));
  return heard;
}

// Windows that are looked at side by side: axe keeps one processor busy in each.
const LANES = 2;

// Pages of one making: each is looked at closely in one window, and every window sees some of them.
const ALIKE = /^faults\//;
export const takesTurn = (name, number, turn, turns) => !ALIKE.test(name) || number % turns === turn;

async function looksOf(tally, browser, pages, at, { width, colorScheme, turn, turns }) {
  const context = await browser.newContext({ viewport: { width, height: 800 }, colorScheme, reducedMotion: "reduce" });
  const page = await context.newPage();
  const heard = listen(page);
  for (const [number, name] of pages.entries()) {
    const where = `${name} at ${width} px, ${colorScheme}`;
    heard.requests.length = 0;
    heard.messages.length = 0;
    await page.goto(at(name));
    if (takesTurn(name, number, turn, turns)) tally.check(where, "accessibility", await axeFaults(page));
    tally.check(where, "no sideways scroll", await sidewaysFaults(page));
    tally.check(where, "nothing from outside", heard.requests);
    tally.check(where, "quiet console", heard.messages);
  }
  await context.close();
}

async function narrowLooksOf(tally, browser, pages, at) {
  const context = await browser.newContext({ viewport: { width: 320, height: 640 } });
  const page = await context.newPage();
  for (const name of pages) {
    await page.goto(at(name));
    tally.check(`${name} at 320 px`, "no sideways scroll", await sidewaysFaults(page));
    await page.evaluate((css) => {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(css);
      document.adoptedStyleSheets = [sheet];
    }, SPACING);
    tally.check(`${name} at 320 px`, "bears wider text spacing", await sidewaysFaults(page));
  }
  await context.close();
}

export async function checkLooks(tally, browser, pages, at) {
  const looks = ["light", "dark"].flatMap((colorScheme) => WIDTHS.map((width) => ({ width, colorScheme })));
  const windows = looks.map((look, turn) => ({ ...look, turn, turns: looks.length }));
  const lane = async () => {
    for (let next = windows.shift(); next; next = windows.shift()) await looksOf(tally, browser, pages, at, next);
  };
  await Promise.all(Array.from({ length: LANES }, lane));
  await narrowLooksOf(tally, browser, pages, at);
}
