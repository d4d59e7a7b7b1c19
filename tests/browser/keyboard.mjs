// By keyboard: the skip link first, no trap, the focus always seen and never covered.

import { takesTurn } from "./looks.mjs";

const MOST_STOPS = 600;
// A frame or two bring what was focused into the window; what is wrong after so many stays wrong.
const MOST_FRAMES = 30;

const nextFrame = () => new Promise((done) => requestAnimationFrame(done));

function focusState() {
  const element = document.activeElement;
  if (!element || element === document.body) return { end: true };
  const box = element.getBoundingClientRect();
  const shown = element.type === "radio" ? element.nextElementSibling : element;
  const style = getComputedStyle(shown);
  const ring = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  const inWindow = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  const x = Math.min(innerWidth - 1, Math.max(0, box.left + Math.min(box.width, 20) / 2));
  const y = Math.min(innerHeight - 1, Math.max(0, box.top + Math.min(box.height, 20) / 2));
  const top = document.elementFromPoint(x, y);
  const label = element.closest("label");
  const uncovered = !top || element.contains(top) || top.contains(element) || Boolean(label && label.contains(top));
  const inline = element.getClientRects().length > 1;
  return {
    end: false,
    name: `${element.tagName.toLowerCase()} "${(element.textContent || element.getAttribute("aria-label") || element.name || "").trim().slice(0, 40)}"`,
    skip: element.classList.contains("skip"),
    ring,
    inWindow,
    uncovered: uncovered || inline || box.width === 0,
  };
}

function wrongWith(state) {
  const wrong = [];
  if (!state.ring) wrong.push(`no ring on ${state.name}`);
  if (!state.inWindow) wrong.push(`out of sight: ${state.name}`);
  if (!state.uncovered) wrong.push(`covered: ${state.name}`);
  return wrong;
}

// Focus, ring and scrolling need not come in one frame on a busy machine: the state is waited for.
async function settled(page) {
  let state = await page.evaluate(focusState);
  for (let frame = 0; frame < MOST_FRAMES; frame++) {
    if (state.end || wrongWith(state).length === 0) break;
    await page.evaluate(nextFrame);
    state = await page.evaluate(focusState);
  }
  return state;
}

async function faultsOf(page) {
  const faults = [];
  let stops = 0;
  // A page that was not painted yet drops keys.
  await page.evaluate(nextFrame);
  await page.evaluate(nextFrame);
  for (; stops < MOST_STOPS; stops++) {
    await page.keyboard.press("Tab");
    const state = await settled(page);
    // Behind the last stop comes the browser's own frame, or the first stop again.
    if (state.end || (0 < stops && state.skip)) break;
    if (stops === 0 && !state.skip) faults.push(`first stop is ${state.name}, not the skip link`);
    faults.push(...wrongWith(state));
  }
  if (stops === MOST_STOPS) faults.push("the focus never leaves the page");
  if (stops < 3) faults.push(`only ${stops} stops`);
  return faults;
}

export async function checkKeyboard(tally, browser, pages, at) {
  for (const [turn, width] of [360, 1280].entries()) {
    const context = await browser.newContext({ viewport: { width, height: 800 } });
    const page = await context.newPage();
    for (const [number, name] of pages.entries()) {
      if (!takesTurn(name, number, turn, 2)) continue;
      await page.goto(at(name));
      tally.check(`${name} at ${width} px`, "keyboard", await faultsOf(page));
    }
    await context.close();
  }
}
