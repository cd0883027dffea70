// What comes out of the printer: Chromium writes the PDF, poppler's programs read it.

import { execFile } from "node:child_process";
import { promisify } from "node:util";
import { ready } from "./browser.mjs";

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("./runner.mjs").Faults} Faults */

const run = promisify(execFile);

/** Papers: what the browser calls them, and their sides in points, upright. */
export const PAPERS = /** @type {const} */ ([
  { name: "A4", format: "A4", sides: [595, 842] },
  { name: "US Letter", format: "Letter", sides: [612, 792] },
]);

/**
 * Prints the page that is shown. Gives its sheets of text, and its size as `pdfinfo` says it.
 * @param {Page} page @param {string} format @param {string} path
 */
export async function printed(page, format, path) {
  await page.pdf({ path, format, preferCSSPageSize: true, printBackground: false });
  const { stdout: info } = await run("pdfinfo", [path]);
  const { stdout: text } = await run("pdftotext", ["-layout", path, "-"]);
  // In the order in which it was written: the lines of one cell stay together.
  const { stdout: raw } = await run("pdftotext", ["-raw", path, "-"]);
  const { stdout: boxes } = await run("pdftotext", ["-bbox", path, "-"]);
  const [, width, height] = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(info)?.map(Number) ?? [0, 0, 0];
  return { sheets: text.split("\f").slice(0, -1), width, height, raw, boxes };
}

/**
 * Prints a page on a paper, and looks at what must hold of anything printed.
 * @param {Page} page @param {string} at @param {typeof PAPERS[number]} paper @param {string} path @param {Faults} faults
 * @param {boolean} [across] the paper lies on its side
 */
export async function fits(page, at, paper, path, faults, across = false) {
  const where = `${at} on ${paper.name}`;
  const { sheets, width, height, raw, boxes } = await printed(page, paper.format, path);
  const sides = across ? [paper.sides[1], paper.sides[0]] : paper.sides;
  if (Math.abs(width - sides[0]) > 2 || Math.abs(height - sides[1]) > 2) {
    faults.add(where, "size of the paper", `${width} × ${height} points, not ${sides.join(" × ")}`);
  }
  sheets.forEach((sheet, i) => {
    const foot = new RegExp(`page ${i + 1} of ${sheets.length}\\b`, "i");
    if (!foot.test(sheet)) faults.add(where, "foot of the page", `page ${i + 1} does not say so`);
  });
  for (const [, xMin, yMin, xMax, yMax, word] of boxes.matchAll(/<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">([^<]*)/g)) {
    if (Number(xMin) < 0 || Number(yMin) < 0 || Number(xMax) > width || Number(yMax) > height) {
      faults.add(where, "past the edge of the paper", word);
    }
  }
  await whole(page, where, raw, faults);
  return sheets;
}

/** Nothing that is to be printed is hidden, cut or left out. */
async function whole(/** @type {Page} */ page, /** @type {string} */ where, /** @type {string} */ raw, /** @type {Faults} */ faults) {
  await ready(page);
  await page.emulateMedia({ media: "print" });
  const { held, words } = await page.evaluate(() => {
    // @ts-expect-error look.js
    const look = window.look;
    const held = [...document.querySelectorAll("body *")]
      .filter((element) => element instanceof HTMLElement && look.seen(element) && getComputedStyle(element).overflowX !== "visible")
      .filter((element) => element.scrollWidth > element.clientWidth + 1)
      .map((element) => `${look.name(element)}: ${element.scrollWidth} px in ${element.clientWidth}`);
    return { held, words: document.body.innerText.split(/[\s\u00ad]+/).filter(Boolean) };
  });
  await page.emulateMedia({ media: null });
  for (const one of held) faults.add(where, "cut at the side", one);
  const bare = (/** @type {string} */ text) => text.normalize("NFKC").toLowerCase().replace(/[^\p{L}\p{N}]/gu, "");
  const paper = bare(raw);
  const lost = [...new Set(words)].filter((word) => bare(word) !== "" && !paper.includes(bare(word)));
  if (lost.length > 0) faults.add(where, "not on the paper", lost.slice(0, 20).join(" "));
}

/**
 * The head of a table stands above its rows on every sheet that has any.
 * @param {string} where @param {string[]} sheets @param {string[]} head words of the head @param {RegExp} row what only a row has
 * @param {Faults} faults
 */
export function heads(where, sheets, head, row, faults) {
  const with_rows = sheets.filter((sheet) => row.test(sheet));
  if (with_rows.length < 2) faults.add(where, "table is too short to show that its head repeats", `${with_rows.length} sheets`);
  for (const sheet of with_rows) {
    const missing = head.filter((word) => !sheet.includes(word));
    if (missing.length > 0) faults.add(where, `head of the table on page ${sheets.indexOf(sheet) + 1}`, missing.join(", "));
  }
}
