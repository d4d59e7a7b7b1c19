// What can be said of the files without a browser: valid HTML, links that arrive, no leftovers,
// weights within budget, the table of search words.

import { readFileSync, statSync } from "node:fs";
import { dirname, join, normalize } from "node:path";
import { runInNewContext } from "node:vm";
import { HtmlValidate } from "html-validate";
import { filesOf } from "./files.mjs";

const KB = 1024;
const PAGE_KB = 300;
// A page that shows every moment of a shot as a picture, without and with its files.
const MOMENTS_KB = 250;
const PICTURES_KB = 450;
const SCRIPT_KB = 60;
const INDEX_KB_PER_100_PAGES = 300;
const MOST_CLICKS = 3;

const RULES = {
  extends: ["html-validate:standard", "html-validate:a11y"],
  rules: {
    // Style, not validity.
    "void-style": "off",
    "no-trailing-whitespace": "off",
    "attribute-boolean-style": "off",
    "attribute-empty-style": "off",
    "long-title": "off",
    "prefer-native-element": "off",
    "no-inline-style": "error",
    "no-raw-characters": "error",
    // The scroll boxes of wide tables are reached by keyboard on purpose.
    "tel-non-breaking": "off",
  },
};

function leftovers(html) {
  const text = html.replace(/<(script|pre|code|samp)\b[\s\S]*?<\/\1>/g, " ").replace(/<[^>]*>/g, " ");
  const found = [];
  for (const pattern of [/(?<!\ban )\bundefined\b/, /\bNaN\b/, /\{\{|\}\}|\{%|%\}/, /\[object /, /\bnull\b/, /\/(?:home|tmp|Users|work)\//]) {
    const hit = pattern.exec(text);
    if (hit) found.push(`"${text.slice(Math.max(0, hit.index - 30), hit.index + 30).trim()}"`);
  }
  return found;
}

function attributes(html, name) {
  return [...html.matchAll(new RegExp(`\\s${name}="([^"]*)"`, "g"))].map((hit) => hit[1].replaceAll("&amp;", "&"));
}

function linkFaults(site, name, html, ids, files) {
  const faults = [];
  const targets = new Set();
  for (const kind of ["href", "src", "action"]) {
    for (const address of attributes(html, kind)) {
      if (kind === "src" && /^[a-z]+:/.test(address) && !address.startsWith("data:")) faults.push(`${address}: from outside`);
      if (/^[a-z]+:/.test(address)) continue;
      const [path, anchor] = address.split("#");
      const bare = decodeURIComponent(path.split("?")[0]);
      const target = bare === "" ? name : normalize(join(dirname(name), bare)).replaceAll("\\", "/");
      if (bare.startsWith("/") || bare.endsWith("/")) faults.push(`${address}: does not work from disk`);
      else if (!files.has(target)) faults.push(`${address}: no such file`);
      // What the bench shows stands behind the sign as a name and a value.
      else if (anchor && !anchor.includes("=") && target.endsWith(".html") && !ids(target).has(anchor)) faults.push(`${address}: no such anchor`);
      if (kind === "href" && target.endsWith(".html")) targets.add(target);
    }
  }
  return { faults, targets };
}

function distances(links, start) {
  const distance = new Map([[start, 0]]);
  const queue = [start];
  for (const page of queue) {
    for (const target of links.get(page) ?? []) {
      if (distance.has(target)) continue;
      distance.set(target, distance.get(page) + 1);
      queue.push(target);
    }
  }
  return distance;
}

function weightFaults(site, name, html) {
  const faults = [];
  let scripts = 0;
  let all = html.length;
  for (const kind of ["href", "src"]) {
    for (const address of attributes(html, kind)) {
      if (!/\.(css|js|svg|png|jpg)$/.test(address)) continue;
      // A file that is missing or elsewhere has been told of as a link that does not arrive.
      const size = statSync(join(site, dirname(name), address), { throwIfNoEntry: false })?.size ?? 0;
      all += size;
      if (address.endsWith(".js")) scripts += size;
    }
  }
  const hasMoments = html.includes('id="_poses"');
  const budget = hasMoments ? PICTURES_KB : PAGE_KB;
  const own = Buffer.byteLength(html);
  if (hasMoments && own > MOMENTS_KB * KB) faults.push(`${Math.round(own / KB)} KB without its files, budget ${MOMENTS_KB}`);
  if (all > budget * KB) faults.push(`${Math.round(all / KB)} KB, budget ${budget}`);
  if (scripts > SCRIPT_KB * KB) faults.push(`${Math.round(scripts / KB)} KB of script, budget ${SCRIPT_KB}`);
  return faults;
}

function tokenFaults(site) {
  const context = {};
  runInNewContext(readFileSync(join(site, "sheet/search.js"), "utf8"), context);
  const table = readFileSync(new URL("../search_tokens.txt", import.meta.url), "utf8");
  const faults = [];
  for (const line of table.split("\n")) {
    if (!line.startsWith("[")) continue;
    const [text, expected] = JSON.parse(line);
    const words = context.gaugebookSearch.tokens(text);
    if (JSON.stringify(words) !== JSON.stringify(expected)) faults.push(`${line}: ${JSON.stringify(words)}`);
  }
  return faults;
}

export async function checkFiles(tally, site, pages) {
  const validator = new HtmlValidate(RULES);
  const files = new Set(filesOf(site));
  const texts = new Map(pages.map((name) => [name, readFileSync(join(site, name), "utf8")]));
  const known = new Map();
  const ids = (name) => {
    if (!known.has(name)) {
      const html = texts.get(name) ?? readFileSync(join(site, name), "utf8");
      known.set(name, new Set(attributes(html, "id")));
    }
    return known.get(name);
  };
  const links = new Map();
  const described = new Map();
  for (const [name, html] of texts) {
    const report = await validator.validateString(html, name);
    const faults = report.results.flatMap((result) => result.messages);
    tally.check(name, "valid HTML", faults.map((f) => `${f.line}:${f.column} ${f.ruleId}: ${f.message}`));
    const link = linkFaults(site, name, html, ids, files);
    links.set(name, link.targets);
    tally.check(name, "links arrive", link.faults);
    tally.check(name, "no leftovers", leftovers(html));
    tally.check(name, "weight", weightFaults(site, name, html));
    const description = /<meta name="description" content="([^"]+)">/.exec(html)?.[1];
    const twin = described.get(description);
    tally.check(name, "a description of its own", !description ? ["none"] : twin ? [`the same as ${twin}: ${description}`] : []);
    described.set(description, name);
    const csp = /http-equiv="Content-Security-Policy" content="default-src 'none'/.test(html);
    tally.check(name, "policy", csp ? [] : ["no policy that begins with default-src 'none'"]);
  }
  if (links.has("index.html")) {
    const distance = distances(links, "index.html");
    const far = [...links.keys()].filter((name) => (distance.get(name) ?? 99) > MOST_CLICKS);
    tally.check("index.html", `every page within ${MOST_CLICKS} clicks`, far);
  }
  const index = statSync(join(site, "search-index.js")).size;
  const budget = INDEX_KB_PER_100_PAGES * KB * Math.max(1, pages.length / 100);
  tally.check("search-index.js", "weight", index > budget ? [`${index} bytes, budget ${budget}`] : []);
  tally.check("sheet/search.js", "splits words as the program does", tokenFaults(site));
}
