// Search finds every page by its title and headings, with one slip of the finger, and figures by
// number and unit; says so when nothing is found; works from every page.

import { axeFaults } from "./looks.mjs";

const MADE = /^(?:faults\/.*|checks|asides|search|index)\.html$/;
const SI_COLUMN = 3;
const FIRST = 3;
const EVERYWHERE = 5;
const MOST_MILLISECONDS = 100;

async function headingsOf(page, address) {
  await page.goto(address);
  return page.evaluate((SI_COLUMN) => ({
    title: document.querySelector("h1").innerText.trim(),
    // Those of the page's own text; what every sheet has ("Claims") would find all sheets alike.
    headings: [...document.querySelectorAll("main .text > h2[id], main .text > h3[id]")].map((h) => h.textContent.trim()),
    figures: [...document.querySelectorAll("tr[id^=_reading-]")].flatMap((row) => {
      const value = row.querySelector("data[value]");
      const metric = row.cells[SI_COLUMN]?.firstChild?.textContent.trim() ?? "";
      return value ? [{ text: value.innerText.trim(), si: metric }] : [];
    }),
  }), SI_COLUMN);
}

// One letter of the longest word swapped with its neighbour.
function withSlip(text) {
  const words = text.match(/\p{L}{5,}/gu) ?? [];
  const longest = words.sort((a, b) => b.length - a.length)[0];
  if (!longest) return null;
  const wrong = longest.charAt(0) + longest.charAt(2) + longest.charAt(1) + longest.slice(3);
  return text.replace(longest, wrong);
}

async function openSearch(page, address) {
  await page.goto(address);
  await page.focus("#_find-words");
  await page.waitForFunction(() => Boolean(globalThis.gaugebookIndex));
}

async function addressesFor(page, query) {
  return page.evaluate((words) => {
    globalThis.opened ??= globalThis.gaugebookSearch.open(globalThis.gaugebookIndex);
    const start = performance.now();
    const found = globalThis.opened.find(words);
    return { milliseconds: performance.now() - start, addresses: found.map((result) => result.address), places: found.flatMap((r) => r.places) };
  }, query);
}

async function boxFaults(page) {
  const faults = [];
  const box = page.locator("#_find-results, #_page-results").last();
  await page.fill("#_find-words", "zzzzqqqq");
  await page.waitForFunction(() => document.getElementById("_find-status").textContent !== "");
  if (!/Nothing found/.test(await page.textContent("#_find-status"))) faults.push("does not say that nothing was found");
  await page.fill("#_find-words", "figures");
  await page.waitForFunction(() => /\d/.test(document.getElementById("_find-status").textContent));
  const links = box.locator("a");
  if ((await links.count()) === 0) return [...faults, "no link for a common word"];
  faults.push(...(await axeFaults(page)));
  const href = await links.first().getAttribute("href");
  await links.first().click();
  await page.waitForLoadState();
  if (!page.url().includes(href.replace(/^(\.\.\/)+/, "").split("#")[0])) faults.push(`${href} led to ${page.url()}`);
  return faults;
}

export async function checkSearch(tally, browser, site, pages, at) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const page = await context.newPage();
  const known = new Map();
  for (const name of pages) known.set(name, await headingsOf(page, at(name)));
  const shared = new Map();
  for (const { headings } of known.values()) for (const heading of new Set(headings)) shared.set(heading, (shared.get(heading) ?? 0) + 1);

  await openSearch(page, at(pages[0]));
  let slowest = 0;
  // Every page that a writer wrote must be in the index; those that the site makes by itself are
  // held to the same rules as soon as they are.
  const indexed = new Set(await page.evaluate(() => globalThis.gaugebookIndex.pages.map(([, address]) => address)));
  for (const [name, { title, headings, figures }] of known) {
    if (MADE.test(name) && !indexed.has(name)) continue;
    const faults = indexed.has(name) ? [] : ["not in the index"];
    const queries = [title, ...headings.filter((heading) => shared.get(heading) <= FIRST)];
    for (const query of queries) {
      const { addresses, milliseconds } = await addressesFor(page, query);
      slowest = Math.max(slowest, milliseconds);
      if (!addresses.slice(0, FIRST).includes(name)) faults.push(`"${query}" gives ${addresses.slice(0, FIRST).join(", ") || "nothing"}`);
    }
    const slip = withSlip(title);
    if (slip && !(await addressesFor(page, slip)).addresses.slice(0, EVERYWHERE).includes(name)) faults.push(`"${slip}" does not find it`);
    tally.check(name, "found by title and headings", faults);
    const lost = [];
    for (const { text, si } of figures.slice(0, 6)) {
      for (const query of [text, si]) {
        const { addresses } = await addressesFor(page, query);
        if (!addresses.includes(name)) lost.push(`"${query}" gives ${addresses.slice(0, FIRST).join(", ") || "nothing"}`);
      }
    }
    tally.check(name, "found by its figures", lost);
  }
  const groups = await page.evaluate(() => globalThis.gaugebookIndex.synonyms);
  for (const group of groups) {
    const counts = [];
    for (const word of group) counts.push((await addressesFor(page, word)).addresses.length);
    const silent = group.filter((word, at) => counts[at] === 0);
    const uneven = silent.length > 0 && silent.length < group.length;
    tally.check("search", `finds ${group.join(", ")} alike`, uneven ? silent.map((word) => `nothing for "${word}"`) : []);
  }
  tally.check("search", "answers at once", slowest > MOST_MILLISECONDS ? [`${Math.round(slowest)} ms`] : []);
  for (const name of [...new Set([pages[0], "index.html", "search.html"])].filter((n) => pages.includes(n))) {
    await page.goto(at(name));
    tally.check(name, "search box", await boxFaults(page));
  }
  if (pages.includes("search.html")) {
    await page.goto(`${at("search.html")}?q=safety`);
    await page.waitForSelector("#_page-results a");
    tally.check("search.html", "answers a query in its address", []);
  }
  await context.close();
}
