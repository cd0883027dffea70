// All checks of the pages in a browser: `node all.mjs PROGRAM [PART…]`. Parts: types, pages, forms, print, journey.

import { Browser } from "./browser.mjs";
import { recordedOnce, refused } from "./forms.mjs";
import { journeys } from "./journey.mjs";
import { KINDS, crawl, spread } from "./kinds.mjs";
import { everything } from "./pages.mjs";
import { Desk } from "./program.mjs";
import { PAPERS, fits, heads } from "./print.mjs";
import { check, runAll } from "./runner.mjs";
import { MACHINES, states } from "./states.mjs";
import { types } from "./types.mjs";

const [program, ...parts] = process.argv.slice(2);
const wanted = (/** @type {string} */ part) => parts.length === 0 || parts.includes(part);
const started = performance.now();
const desk = new Desk(program);
const browser = await Browser.open();
let passed = 0;
let failed = 0;

/** Runs what was added so far. */
async function run() {
  const counts = await runAll();
  passed += counts.passed;
  failed += counts.failed;
}

try {
  const demo = wanted("pages") || wanted("forms") || wanted("print") ? await desk.serve(await desk.demo()) : "";
  const empty = wanted("pages") ? await desk.serve(desk.folder()) : "";
  if (wanted("types")) check("types of the script", types);
  if (wanted("pages")) {
    /** @type {Map<string, string[]>} */
    let found = new Map();
    check("links of the demo lead somewhere", async (faults) => {
      found = await crawl(demo, faults);
    });
    /** @type {Map<string, string[]>} */
    let bare = new Map();
    check("links of an empty store lead somewhere", async (faults) => {
      bare = await crawl(empty, faults);
    });
    await run();
    /** @type {Map<string, string>} */
    const titles = new Map();
    check("every kind of page was found", async (faults) => {
      for (const kind of KINDS) if (!kind.rare && !found.get(kind.name)?.length) faults.add("the demo", "no page of this kind", kind.name);
    });
    for (const kind of KINDS) {
      const more = kind.name === "machine" ? MACHINES.slice(1, 4) : [];
      const paths = new Set([...spread(found.get(kind.name) ?? [], kind.few), ...more]);
      for (const path of paths) {
        check(`${kind.name}: ${path}`, async (faults) => {
          const page = await browser.page(demo, faults);
          const response = await page.goto(path);
          await everything({ name: kind.name, page, response, paper: kind.paper, again: path !== [...paths][0] }, faults, titles);
          await page.context().close();
        });
      }
    }
    /** @type {Map<string, string>} */
    const emptyTitles = new Map();
    // These say the same whatever the store holds.
    for (const kind of KINDS.filter((kind) => !/^(calculate|document|problems|procedure)/.test(kind.name))) {
      for (const path of spread(bare.get(kind.name) ?? [], kind.few)) {
        check(`empty, ${kind.name}: ${path}`, async (faults) => {
          const page = await browser.page(empty, faults);
          const response = await page.goto(path);
          await everything({ name: `empty ${kind.name}`, page, response, paper: kind.paper }, faults, emptyTitles);
          await page.context().close();
        });
      }
    }
    await run();
  }
  if (wanted("pages") || wanted("forms")) {
    for (const state of states().filter((state) => wanted("pages") || state.wrong)) {
      const { name } = state;
      check(`after a form: ${name}`, async (faults) => {
        const page = await browser.page(state.own ? await desk.serve(desk.folder()) : demo, faults);
        const response = await state.open(page);
        if (wanted("forms") && state.wrong) await refused(page, response, { ...state, wrong: state.wrong }, faults);
        if (wanted("pages")) await everything({ name, page, response }, faults, new Map());
        await page.context().close();
      });
    }
    await run();
  }
  if (wanted("forms")) {
    check("a form sent often is recorded once", async (faults) => {
      const page = await browser.page(demo, faults);
      const values = { "found-1": "29,6; 30", "found-2": "30.4", "done-2": "1/8 turn clockwise", "left-2": "30", "why-3": "empty" };
      await recordedOnce(page, "/sites/harrowmead/counter-1", values, faults);
      await page.context().close();
    });
    await run();
  }
  if (wanted("print")) {
    for (const paper of PAPERS) {
      for (const machine of MACHINES) {
        const path = `${machine}/sheet?paper=${paper.format.toLowerCase()}`;
        check(`print of ${path}`, async (faults) => {
          const page = await browser.page(demo, faults);
          await page.goto(path);
          const file = desk.file(`${path.replace(/\W+/g, "-")}.pdf`);
          const sheets = await fits(page, path, paper, file, faults, true);
          if (sheets.length !== 1) faults.add(path, "one page", `${sheets.length} pages on ${paper.name}`);
          await page.context().close();
        });
      }
      for (const path of ["/", "/?top=40", "/sites/mossgate/counter-1/1", "/sites/otterlea/window-1/2", "/sites/mossgate/counter-1", "/records/mossgate"]) {
        check(`print of ${path} on ${paper.name}`, async (faults) => {
          const page = await browser.page(demo, faults);
          await page.goto(path);
          const sheets = await fits(page, path, paper, desk.file(`${path.replace(/\W+/g, "-")}${paper.format}.pdf`), faults);
          if (/\/\d$/.test(path)) {
            const head = await page.locator("main table thead th").allInnerTexts();
            heads(`${path} on ${paper.name}`, sheets, head.map((words) => words.split(" ")[0]), /\d{4}-\d\d-\d\d\s+(as found|as left|cleaned)/, faults);
          }
          await page.context().close();
        });
      }
    }
    await run();
  }
  if (wanted("journey")) {
    journeys(browser, desk);
    await run();
  }
} finally {
  await browser.close();
  await desk.close();
}
console.log(`in ${((performance.now() - started) / 1000).toFixed(0)} s`);
console.log(`${passed} passed, ${failed} failed`);
if (failed > 0 || passed === 0) process.exitCode = 1;
