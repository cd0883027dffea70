// The pictures of the README: `node pictures.mjs PROGRAM FOLDER`.

import { execFile } from "node:child_process";
import { mkdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { promisify } from "node:util";
import { Browser } from "./browser.mjs";
import { fill } from "./forms.mjs";
import { Desk } from "./program.mjs";
import { Faults } from "./runner.mjs";
import { sends } from "./states.mjs";

/** The demo ends on a Sunday; the pictures are of the day after it. */
const MONDAY = ["faketime", "-m", "2026-03-02 09:00:00"];
const MACHINE = "/sites/fernhollow/counter-1";
/** As wide as the text and its margins: a wider window shows no more. */
const WIDE = 1040;
/** What a reader's browser has to fetch for one of them, at most. */
const LARGEST = 200_000;

const [program, folder] = process.argv.slice(2);
mkdirSync(folder, { recursive: true });
process.env.TZ = "UTC";
const desk = new Desk(program, MONDAY);
const browser = await Browser.open();
const faults = new Faults();
try {
  const page = await browser.page(await desk.serve(await desk.demo()), faults, { width: WIDE, height: 900 });
  /** Keeps the page from its top to the foot of an element, or to a height. @param {string} name @param {string | number} to */
  const keep = async (name, to) => {
    const bottom = typeof to === "number" ? to : await page.locator(to).first().evaluate((one) => one.getBoundingClientRect().bottom + scrollY + 16);
    const clip = { x: 0, y: 0, width: WIDE, height: Math.round(bottom) };
    await page.screenshot({ path: join(folder, `${name}.png`), clip, fullPage: true });
  };
  await page.goto("/");
  await keep("this-week", "ol.worst > li:nth-child(3)");
  await page.goto(`${MACHINE}/3`);
  await keep("line", "main figure");
  await page.goto(MACHINE);
  await keep("machine", "main figure");
  await page.goto(`${MACHINE}/record`);
  await fill(page, { by: "Bo", "found-1": "29,6", "found-3": "43.5", "done-3": "1/8 turn clockwise", "left-3": "40.5", "why-4": "empty" });
  await sends(page, "main button[value=check]");
  await keep("check", "main form");
  await page.goto(`${MACHINE}/sheet`);
  const pdf = desk.file("sheet.pdf");
  await page.pdf({ path: pdf, preferCSSPageSize: true });
  await promisify(execFile)("pdftoppm", ["-png", "-gray", "-singlefile", "-r", "76", pdf, join(folder, "sheet")]);
} finally {
  await browser.close();
  await desk.close();
}
for (const name of ["this-week", "line", "machine", "check", "sheet"]) {
  const path = join(folder, `${name}.png`);
  const { size } = statSync(path);
  console.log(`${path}: ${(size / 1000).toFixed(0)} kB`);
  if (size > LARGEST) faults.add(path, "too large", `${size} bytes`);
}
for (const fault of faults.list) console.error(fault);
if (faults.list.length > 0) process.exitCode = 1;
