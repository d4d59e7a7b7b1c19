// Opens a published site straight from disk in a real browser and checks what readers rely on.
//
//   node run.mjs SITE_DIR [--shots DIR] [--only TEXT] [--chromium PATH]
//
// Prints each failure with its page, then a closing line "N passed, N failed".

import { mkdirSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { Tally } from "./tally.mjs";
import { pagesOf } from "./files.mjs";
import { checkFiles } from "./static.mjs";
import { checkLooks } from "./looks.mjs";
import { checkReading } from "./reading.mjs";
import { checkControls } from "./controls.mjs";
import { checkKeyboard } from "./keyboard.mjs";
import { checkPrint } from "./print.mjs";
import { checkQuestions } from "./questions.mjs";
import { checkShot } from "./shot.mjs";
import { checkSearch } from "./search.mjs";

const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--no-first-run",
];

function options(words) {
  const found = { site: null, shots: null, only: null, chromium: process.env.CHROMIUM ?? "/usr/bin/chromium" };
  for (let at = 0; at < words.length; at++) {
    const word = words[at];
    if (word === "--shots") found.shots = words[++at];
    else if (word === "--only") found.only = words[++at];
    else if (word === "--chromium") found.chromium = words[++at];
    else found.site = word;
  }
  return found;
}

async function shots(browser, site, pages, folder) {
  mkdirSync(folder, { recursive: true });
  for (const colorScheme of ["light", "dark"]) {
    for (const width of [360, 1280]) {
      const context = await browser.newContext({ viewport: { width, height: 800 }, colorScheme });
      const page = await context.newPage();
      for (const name of pages) {
        await page.goto(pathToFileURL(join(site, name)).href);
        const file = `${name.replace(/[/.]/g, "-")}-${width}-${colorScheme}.png`;
        await page.screenshot({ path: join(folder, file), fullPage: true });
      }
      await context.close();
    }
  }
}

const asked = options(process.argv.slice(2));
if (!asked.site) {
  console.error("usage: node run.mjs SITE_DIR [--shots DIR] [--only TEXT] [--chromium PATH]");
  process.exit(2);
}
const site = resolve(asked.site);
const pages = pagesOf(site).filter((name) => !asked.only || name.includes(asked.only));
if (pages.length === 0) {
  console.error(`no pages in ${asked.site}`);
  process.exit(2);
}
const browser = await chromium.launch({ executablePath: asked.chromium, args: FLAGS });
try {
  if (asked.shots) {
    await shots(browser, site, pages, resolve(asked.shots));
  } else {
    const tally = new Tally();
    const at = (name) => pathToFileURL(join(site, name)).href;
    await checkFiles(tally, site, pages);
    await checkLooks(tally, browser, pages, at);
    await checkReading(tally, browser, pages, at);
    await checkControls(tally, browser, pages, at);
    await checkQuestions(tally, browser, pages, at);
    await checkShot(tally, browser, pages, at);
    await checkKeyboard(tally, browser, pages, at);
    await checkPrint(tally, browser, pages, at);
    await checkSearch(tally, browser, site, pages, at);
    tally.close();
    if (tally.failed > 0) process.exitCode = 1;
  }
} finally {
  await browser.close();
}
