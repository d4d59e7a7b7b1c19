// One shot on an engine's page, and the folds of a comparison: every moment can be reached by
// keyboard, by button and by address; without scripts and on paper all of them are there; pictures
// are drawn in lines that can be seen on either paper.

const LEAST_LINE_CONTRAST = 3;
const LEAST_TEXT_CONTRAST = 4.5;

// The numbers of the poses that show.
const shown = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll("#_poses > .pose")].flatMap((pose, at) => (pose.getClientRects().length > 0 ? [at] : [])),
  );

const same = (found, expected) => JSON.stringify(found) === JSON.stringify(expected);

async function scrubFaults(page, count) {
  const faults = [];
  const expect = async (what, at) => {
    const found = await shown(page);
    if (!same(found, [at])) faults.push(`${what}: shows ${found.slice(0, 5).join(", ") || "nothing"}, not ${at}`);
    const words = await page.evaluate((at) => {
      const event = document.querySelectorAll("#_poses > .pose .pose-event")[at];
      return [event.textContent, document.getElementById("_scrub-at").getAttribute("aria-valuetext")];
    }, at);
    if (words[0] !== words[1]) faults.push(`${what}: the slider says "${words[1]}"`);
  };
  await expect("at first", 0);
  await page.focus("#_scrub-at");
  for (let at = 1; at < count; at++) {
    await page.keyboard.press("ArrowRight");
    await expect(`${at} times to the right`, at);
  }
  await page.keyboard.press("ArrowRight");
  await expect("past the end", count - 1);
  await page.keyboard.press("Home");
  await expect("Home", 0);
  await page.keyboard.press("End");
  await expect("End", count - 1);
  await page.click("#_scrub-back");
  await expect("one back", count - 2);
  await page.click("#_scrub-on");
  await expect("one on", count - 1);
  await page.focus("#_scrub-all");
  await page.keyboard.press("Enter");
  if ((await shown(page)).length !== count) faults.push("not all at once");
  await page.keyboard.press("Enter");
  await expect("one again", count - 1);
  // Moments that change no pressure have no row.
  await page.click('[aria-labelledby="_pressures"] summary');
  const link = page.locator('.levels a[href^="#_pose-"]').nth(1);
  const linked = (await link.getAttribute("href")).slice("#_pose-".length);
  await link.click();
  // The page hears of its new address a moment later.
  const hasFollowed = (wanted) => document.getElementById("_scrub-at").value === wanted;
  await page.waitForFunction(hasFollowed, linked, { timeout: 5000 }).catch(() => {});
  await expect("by a link", Number(linked));
  const box = await page.locator(`#_pose-${linked}`).boundingBox();
  const height = page.viewportSize().height;
  if (!box || box.y >= height || box.y + box.height <= 0) faults.push("a link does not bring the picture into the window");
  return faults;
}

// The idea of an engine stands in the first window of a phone, then its drawing, then the text; a key
// figure leads to its row, though the table is folded.
async function orderFaults(page) {
  const faults = await page.evaluate(() => {
    const top = (which) => document.querySelector(which)?.getBoundingClientRect().top ?? Infinity;
    const found = [];
    const idea = Math.min(top(".summary"), top(".text > p"));
    if (idea + 60 > innerHeight) found.push(`the first sentence stands at ${Math.round(idea)} px`);
    if (top("#_scrub") > top(".text")) found.push("the text stands before the drawing");
    return found;
  });
  const figure = page.locator(".parameters tbody th a").first();
  if ((await figure.count()) === 0) return faults;
  const row = (await figure.getAttribute("href")).split("#")[1];
  await figure.click();
  const isSeen = (id) => {
    const box = document.getElementById(id).getBoundingClientRect();
    return box.height > 0 && box.top < innerHeight && box.bottom > 0;
  };
  await page.waitForFunction(isSeen, row, { timeout: 5000 }).catch(() => faults.push(`${row} is not brought into the window`));
  return faults;
}

function doubleIds() {
  const seen = new Set();
  const faults = [];
  for (const element of document.querySelectorAll("[id]")) {
    if (seen.has(element.id)) faults.push(`${element.id} stands twice`);
    seen.add(element.id);
  }
  for (const svg of document.querySelectorAll("svg[aria-labelledby]")) {
    for (const id of svg.getAttribute("aria-labelledby").split(" ")) {
      if (!svg.contains(document.getElementById(id))) faults.push(`${id} does not name its own picture`);
    }
  }
  return faults;
}

// Every colour in a picture against the paper behind it.
function contrastFaults([leastLine, leastText]) {
  const channels = (colour) => colour.match(/[\d.]+/g).slice(0, 3).map(Number);
  const light = (colour) => {
    const [r, g, b] = channels(colour).map((c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ratio = (a, b) => {
    const [low, high] = [light(a), light(b)].sort((x, y) => x - y);
    return (high + 0.05) / (low + 0.05);
  };
  const paper = getComputedStyle(document.querySelector(".sheet")).backgroundColor;
  const faults = new Set();
  for (const element of document.querySelectorAll("main svg :is(path, rect, circle, line, text)")) {
    const style = getComputedStyle(element);
    const isText = element.tagName === "text";
    const colour = isText ? style.fill : style.stroke;
    if (colour === "none") continue;
    const found = ratio(colour, paper);
    if (found < (isText ? leastText : leastLine)) faults.add(`${colour} on ${paper}: ${found.toFixed(1)} to 1`);
  }
  return [...faults];
}

// What is left away on paper as a whole is not folded.
function foldedOnPaper() {
  return [...document.querySelectorAll("details > *:not(summary)")]
    .filter((inside) => inside.parentElement.getClientRects().length > 0)
    .filter((inside) => !inside.checkVisibility({ contentVisibilityAuto: true }) || inside.getClientRects().length === 0)
    .map((inside) => inside.parentElement.querySelector("summary").textContent);
}

export async function checkShot(tally, browser, pages, at) {
  const scripted = await browser.newContext({ viewport: { width: 360, height: 800 } });
  const plain = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 1280, height: 800 } });
  const page = await scripted.newPage();
  const without = await plain.newPage();
  for (const name of pages) {
    await page.emulateMedia({ media: "screen" });
    await page.goto(at(name));
    tally.check(name, "ids stand once", await page.evaluate(doubleIds));
    const count = await page.locator("#_poses > .pose").count();
    const hasFolds = (await page.locator("details").count()) > 0;
    if ((await page.locator("main svg").count()) > 0) {
      for (const scheme of ["light", "dark"]) {
        await page.emulateMedia({ colorScheme: scheme });
        const faults = await page.evaluate(contrastFaults, [LEAST_LINE_CONTRAST, LEAST_TEXT_CONTRAST]);
        tally.check(`${name}, ${scheme}`, "lines of pictures can be seen", faults);
      }
    }
    if (count > 0) {
      tally.check(name, "idea, drawing, text", await orderFaults(page));
      tally.check(name, "every moment by keyboard, button and address", await scrubFaults(page, count));
    }
    if (count === 0 && !hasFolds) continue;
    await page.emulateMedia({ media: "print" });
    await without.emulateMedia({ media: "screen" });
    await without.goto(at(name));
    const all = Array.from({ length: count }, (_, number) => number);
    tally.check(name, "all moments without scripts", same(await shown(without), all) ? [] : ["some do not show"]);
    tally.check(name, "all moments on paper", same(await shown(page), all) ? [] : ["some do not show"]);
    await without.emulateMedia({ media: "print" });
    await without.goto(at(name));
    tally.check(name, "unfolded on paper", await without.evaluate(foldedOnPaper));
  }
  await scripted.close();
  await plain.close();
}
