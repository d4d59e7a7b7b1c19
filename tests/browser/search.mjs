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
    return { milliseconds: performance.now() - start, addresses: found.map((result) => result.address), found };
  }, query);
}

// "0.9" for "0.90": the same figure as a reader may type it.
const shorter = (text) => text.replace(/(\.\d*?)0+(?=\D|$)/, "$1").replace(/\.(?=\D|$)/, "");

// Two engines in one question: the bench with both, and the figure that was named of each.
async function twoEngineFaults(page) {
  const engines = await page.evaluate(() => globalThis.gaugebookIndex.pages.filter((it) => it[3] !== "").map((it) => ({ address: it[1], engine: it[3] })));
  const faults = [];
  for (let at = 1; at < engines.length; at++) {
    const [one, other] = [engines[at - 1], engines[at]];
    const spoken = [one, other].map(({ engine }) => engine.replaceAll("_", " "));
    const { found } = await addressesFor(page, `${spoken[1]} or ${spoken[0]}, which pressure is higher`);
    const bench = found.slice(0, FIRST).find((result) => result.address === `bench.html#e=${other.engine},${one.engine}`);
    if (!bench) faults.push(`"${spoken.join(" ")}" does not lead to the bench with both`);
    const shared = await page.evaluate(({ addresses }) => {
      const index = globalThis.gaugebookIndex;
      const labels = (address) => Object.values(index.figures).flatMap((flat) => flat.flatMap((_, i) => (i % 3 === 1 && index.pages[flat[i]][1] === address ? [index.places[flat[i + 1]]] : [])));
      const pressures = addresses.map((address) => new Set(labels(address).filter(([anchor, label]) => anchor !== "" && /\bpressure\b/.test(label)).map(([anchor]) => anchor)));
      return [...pressures[0]].filter((anchor) => pressures[1].has(anchor));
    }, { addresses: [one.address, other.address] });
    const told = new Set(bench?.places.map((place) => place.address));
    if (shared.length > 0 && told.size < 2) faults.push(`"${spoken.join(" ")}" tells no pressure of both, though both have ${shared[0]}`);
  }
  return faults;
}

// A writer's comparison of just the engines that a question names stands on top of what is found.
async function comparisonFaults(page) {
  const { engines, comparisons } = await page.evaluate(() => {
    const { pages } = globalThis.gaugebookIndex;
    return {
      engines: pages.filter((it) => it[3] !== "").map((it) => it[3].replaceAll("_", " ")),
      comparisons: pages.filter((it) => it[2] === "Comparison").map(([title, address]) => ({ title: title.toLowerCase(), address })),
    };
  });
  const faults = [];
  for (const { title, address } of comparisons) {
    const named = engines.filter((engine) => new RegExp(`\\b${engine}\\b`).test(title));
    if (named.length < 2) continue;
    const { addresses } = await addressesFor(page, `${named.join(" ")} pressure`);
    if (!addresses.slice(0, 2).includes(address)) faults.push(`${named.join(", ")}: ${addresses.slice(0, 2).join(", ")} before ${address}`);
  }
  return faults;
}

// What readers look for stands before what only those who write pages need.
async function groupFaults(page) {
  const faults = [];
  for (const query of ["figure", "unit", "sequence", "formula", "pressure", "circle_area"]) {
    await page.fill("#_find-words", "");
    await page.fill("#_find-words", query);
    await page.waitForFunction(() => /\d|Nothing/.test(document.getElementById("_find-status").textContent));
    const lines = await page.evaluate(() => {
      const box = [...document.querySelectorAll("#_page-results, #_find-results")].find((it) => it.childElementCount > 0);
      return [...box.querySelectorAll("ul.found > li > a, .found-count")].map((it) => it.getAttribute("href") ?? `: ${it.textContent}`);
    });
    const head = lines.indexOf(": For those who write pages");
    const forWriters = (href) => /^(\.\.\/)*(faults\/|checks\.html|cutaway\.html|front_matter\.html)/.test(href);
    const mixed = lines.filter((line, at) => !line.startsWith(":") && forWriters(line) !== (head >= 0 && at > head));
    if (mixed.length > 0) faults.push(`"${query}": ${mixed[0]} stands in the wrong group`);
    if (query === "circle_area" && head < 0) faults.push("a formula's function is not found for writers");
  }
  return faults;
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
      for (const query of [text, shorter(text), si]) {
        const { addresses, found } = await addressesFor(page, query);
        const hit = found.find((result) => result.address === name);
        if (!hit) lost.push(`"${query}" gives ${addresses.slice(0, FIRST).join(", ") || "nothing"}`);
        else if (query !== si && !hit.places.some((place) => place.text.includes(text))) lost.push(`"${query}" finds it, and does not say which figure`);
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
  tally.check("search", "two engines in one question", await twoEngineFaults(page));
  tally.check("search", "a comparison of the engines named", await comparisonFaults(page));
  tally.check("search", "what is for writers stands behind", await groupFaults(page));
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
