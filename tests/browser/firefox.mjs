// A short look at the site in a second browser: pages are set, scripts run, the bench, units, search
// and focus work. Speaks WebDriver BiDi (W3C) with an installed Firefox; without one it says so.
//
//   node --experimental-websocket firefox.mjs SITE_DIR [--firefox PATH]

import { spawn, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { Tally } from "./tally.mjs";
import { pagesOf } from "./files.mjs";

const WIDTHS = [360, 1280];
const LONGEST_START = 60_000;
// WebDriver's code point of the tabulator (W3C WebDriver, keyboard actions).
const TAB = "\uE004";

function installed(asked) {
  const names = asked ? [asked] : ["firefox-esr", "firefox"];
  return names.find((name) => existsSync(name) || spawnSync("which", [name]).status === 0);
}

// Starts Firefox with an empty profile; it says on its error stream where it listens.
async function start(program, profile) {
  const firefox = spawn(program, ["--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", "0"]);
  const address = await new Promise((found, failed) => {
    let said = "";
    const timer = setTimeout(() => failed(new Error(`Firefox did not start: ${said}`)), LONGEST_START);
    firefox.stderr.on("data", (piece) => {
      said += piece;
      const line = /WebDriver BiDi listening on (ws:\S+)/.exec(said);
      if (!line) return;
      clearTimeout(timer);
      found(line[1]);
    });
    firefox.on("exit", () => failed(new Error(`Firefox ended: ${said}`)));
  });
  return { firefox, address };
}

class Session {
  #next = 1;
  #waiting = new Map();
  messages = [];

  static async open(address) {
    const session = new Session();
    session.socket = new WebSocket(`${address}/session`);
    await new Promise((done, failed) => {
      session.socket.onopen = done;
      session.socket.onerror = failed;
    });
    session.socket.onmessage = ({ data }) => session.#take(JSON.parse(data));
    await session.send("session.new", { capabilities: {} });
    await session.send("session.subscribe", { events: ["log.entryAdded"] });
    // Focus is shown only in a window that is active, which the first one is not.
    const { context } = await session.send("browsingContext.create", { type: "tab" });
    await session.send("browsingContext.activate", { context });
    session.context = context;
    return session;
  }

  #take(message) {
    if (message.type === "event") {
      const { level, text } = message.params;
      if (level === "error" || level === "warn") this.messages.push(`${level}: ${text}`);
      return;
    }
    const { done, failed } = this.#waiting.get(message.id);
    this.#waiting.delete(message.id);
    if (message.type === "error") failed(new Error(`${message.error}: ${message.message}`));
    else done(message.result);
  }

  send(method, params) {
    const id = this.#next++;
    const answer = new Promise((done, failed) => this.#waiting.set(id, { done, failed }));
    this.socket.send(JSON.stringify({ id, method, params }));
    return answer;
  }

  goto = (url) => this.send("browsingContext.navigate", { context: this.context, url, wait: "complete" });
  width = (width) => this.send("browsingContext.setViewport", { context: this.context, viewport: { width, height: 800 } });

  // Runs a function of no closure in the page and gives what it returns.
  async run(body, ...given) {
    const expression = `(async () => JSON.stringify(await (${body})(...${JSON.stringify(given)})))()`;
    const answer = await this.send("script.evaluate", { expression, target: { context: this.context }, awaitPromise: true });
    if (answer.type === "exception") throw new Error(answer.exceptionDetails.text);
    return JSON.parse(answer.result.value ?? "null");
  }

  // Waits until something holds in the page; false where it never does.
  until = (body, ...given) =>
    this.run(
      `async (...given) => { for (let times = 0; times < 400; times++) { if ((${body})(...given)) return true; await new Promise((done) => setTimeout(done, 50)); } return false; }`,
      ...given,
    );

  press = (value) =>
    this.send("input.performActions", {
      context: this.context,
      actions: [{ type: "key", id: "keys", actions: [{ type: "keyDown", value }, { type: "keyUp", value }] }],
    });
}

async function checkPages(tally, session, pages, at) {
  for (const width of WIDTHS) {
    await session.width(width);
    for (const name of pages) {
      session.messages.length = 0;
      await session.goto(at(name));
      const { words, wide, title } = await session.run(() => ({
        words: document.querySelector("main").innerText.split(/\s+/).length,
        wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
        title: document.querySelector("h1").getBoundingClientRect().height,
      }));
      tally.check(`${name} at ${width} px`, "set, quiet, not wider than the window", [
        ...(words < 10 || title === 0 ? ["nothing is set"] : []),
        ...(wide > 0 ? [`${wide} px wider than the window`] : []),
        ...session.messages,
      ]);
    }
  }
}

async function checkBench(tally, session, at) {
  const faults = [];
  await session.goto(at("bench.html"));
  const engines = await session.run(() => [...document.querySelectorAll("#_picks input")].map((box) => box.value));
  if (engines.length < 2) return;
  // At once, faster than their files come.
  await session.run((two) => two.forEach((value) => document.querySelector(`#_picks input[value="${value}"]`).click()), engines.slice(0, 2));
  const isSet = await session.until(() => document.querySelectorAll("#_bench-table tbody tr").length > 0 && [...document.querySelectorAll(".moment")].filter((it) => it.querySelector("svg")).length === 2);
  if (!isSet) faults.push("figures and shots of two engines do not come");
  const milestone = await session.run(() => {
    document.getElementById("_bench-on").click();
    return document.getElementById("_bench-milestone").textContent;
  });
  if (!milestone) faults.push("the shot does not go on to a milestone");
  const wrong = await session.run(() => {
    document.querySelector("input[name=units][value=si]").click();
    return [...document.querySelectorAll("#_bench-table .figure[data-si]")].filter((it) => it.textContent !== it.dataset.si).length;
  });
  if (wrong > 0) faults.push(`${wrong} figures not in SI units`);
  await session.run(() => document.querySelector("input[name=units][value=written]").click());
  tally.check("bench.html", "two engines side by side, in other units", faults);
}

async function checkSearch(tally, session, at) {
  await session.goto(at("search.html"));
  const title = await session.run(() => document.querySelector("#_all-sheets ~ ul a").textContent);
  await session.run((words) => {
    const input = document.getElementById("_find-words");
    input.value = words;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }, title);
  const isFound = await session.until((words) => document.querySelector("#_page-results li a")?.textContent === words, title);
  tally.check("search.html", "a title finds its page", isFound ? [] : [`"${title}" is not found first`]);
}

async function checkFocus(tally, session, name, at) {
  const faults = [];
  await session.goto(at(name));
  for (let stop = 0; stop < 8; stop++) {
    await session.press(TAB);
    const { skip, ring, words } = await session.run(() => {
      const element = document.activeElement;
      const style = getComputedStyle(element.type === "radio" ? element.nextElementSibling : element);
      const ring = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
      return { skip: element.classList.contains("skip"), ring, words: element.outerHTML.slice(0, 60) };
    });
    if (stop === 0 && !skip) faults.push(`the first stop is ${words}`);
    if (!ring) faults.push(`no ring on ${words}`);
  }
  tally.check(name, "focus by keyboard", faults);
}

const words = process.argv.slice(2);
const asked = words.indexOf("--firefox");
const program = installed(asked >= 0 ? words[asked + 1] : process.env.FIREFOX);
if (!program) {
  console.log("skipped: no Firefox is installed");
  process.exit(0);
}
const site = resolve(words[0]);
const at = (name) => pathToFileURL(join(site, name)).href;
// Pages of one making look alike: the first of them stands for all.
const all = pagesOf(site);
const fault = all.find((name) => name.startsWith("faults/"));
const pages = all.filter((name) => !name.startsWith("faults/") || name === fault);
const profile = mkdtempSync(join(tmpdir(), "firefox-"));
const { firefox, address } = await start(program, profile);
try {
  const tally = new Tally();
  const session = await Session.open(address);
  await checkPages(tally, session, pages, at);
  await checkBench(tally, session, at);
  await checkSearch(tally, session, at);
  await checkFocus(tally, session, "index.html", at);
  tally.close();
  if (tally.failed > 0) process.exitCode = 1;
  await session.send("browser.close", {}).catch(() => {});
  session.socket.close();
} finally {
  firefox.removeAllListeners("exit");
  firefox.kill();
  rmSync(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
}
