// The lead's way from a spreadsheet to Monday's list and back to the machine, walked as people walk it: by pointer or by
// keys alone, with the script or without it, on a telephone or at a desk.

import { fileURLToPath } from "node:url";
import { ready } from "./browser.mjs";
import { Hand } from "./hand.mjs";
import { PAPERS, fits } from "./print.mjs";
import { check } from "./runner.mjs";

/** A sheet as people keep them: a title, headings of their own, three ways of writing a day, an OK, and a row that says nothing. */
const SHEET = fileURLToPath(new URL("log.csv", import.meta.url));

/** Each way is on one side of each pair; every step meets both sides of each. */
const WAYS = [
  { keys: false, js: true, width: 360 },
  { keys: false, js: false, width: 1280 },
  { keys: true, js: true, width: 1280 },
  { keys: true, js: false, width: 360 },
];

/** @param {import("./browser.mjs").Browser} browser @param {import("./program.mjs").Desk} desk */
export function journeys(browser, desk) {
  for (const way of WAYS) {
    const name = `${way.keys ? "by keys alone" : "by pointer"}, script ${way.js ? "on" : "off"}, ${way.width} px`;
    check(`from a sheet to Monday's list: ${name}`, async (faults) => {
      const origin = await desk.serve(desk.folder());
      const page = await browser.page(origin, faults, { js: way.js, width: way.width, height: way.width < 500 ? 740 : 900 });
      try {
        await walk(page, way, faults, (paper) => desk.file(`${name.replace(/\W+/g, "-")}.${paper}.pdf`));
      } catch (error) {
        const text = await page.locator("main").innerText({ timeout: 2000 }).catch(() => "");
        faults.add(page.url(), "the journey stopped here", `${error instanceof Error ? error.stack : error}\n${text.slice(0, 1500)}`);
      }
      await page.context().close();
    });
  }
}

/**
 * @param {import("playwright-core").Page} page @param {typeof WAYS[number]} way @param {import("./runner.mjs").Faults} faults
 * @param {(paper: string) => string} file where what is printed goes
 */
async function walk(page, way, faults, file) {
  const hand = new Hand(page, way.keys);
  const main = page.locator("main");
  const named = (/** @type {string | RegExp} */ words) => main.getByRole("link", { name: words }).first();
  const button = (/** @type {string | RegExp} */ words) => main.getByRole("button", { name: words });
  const path = () => new URL(page.url()).pathname;

  /** @param {string} step @param {...(string | RegExp)} words */
  const says = async (step, ...words) => {
    const text = (await main.innerText()).replace(/\s+/g, " ");
    for (const word of words) {
      if (!(typeof word === "string" ? text.includes(word) : word.test(text))) faults.add(`${step} ${path()}`, "does not say", String(word));
    }
    await ready(page);
    // @ts-expect-error look.js
    for (const wide of await page.evaluate(() => window.look.wide())) faults.add(`${step} ${path()}`, "scrolls sideways", wide);
  };

  /** With the script, what was understood stands beside the field. @param {import("playwright-core").Locator} typed @param {string} words */
  const echoes = async (typed, words) => {
    if (!way.js) return;
    // The browser tells the page of a change when the field is left.
    await typed.blur();
    const echo = main.locator(`output[for="${await typed.getAttribute("id")}"]`);
    await echo.filter({ hasText: /./ }).waitFor({ timeout: 5000 }).catch(() => {});
    if (!(await echo.innerText()).includes(words)) faults.add(path(), `beside the field stands ${words}`, `“${await echo.innerText()}”`);
  };

  // An empty store says what to do first.
  await page.goto("/");
  await hand.comes("Nothing is in here yet");
  await hand.press(named("Bring in a sheet"));

  // The sheet is chosen.
  await hand.comes("Bring in a sheet");
  await hand.file(page.getByLabel("The file"), SHEET);
  await hand.press(button("Look at it"));

  // Its reading is proposed, and wrong: the stall was not taken for the site.
  await hand.comes("How log.csv is read");
  await says("the reading", "Nothing is kept yet", "Before (ml)", "What would become of it");
  await hand.choose(page.getByLabel("What column A holds"), "site");
  await hand.type(page.getByLabel("what is the group called?"), "Northpier Stalls");
  await hand.type(page.getByLabel(/^what does the recipe ask for, where/i), "30 mL");
  await hand.press(button("Read it so"));
  await page.waitForURL(/#result$/);

  // The dry run.
  await says("the dry run", "7 records", "1 refused", "29.6 mL in 7 s, as found", "the log says “OK”, no measurement");
  if ((await page.getByLabel("What column A holds").inputValue()) !== "site") faults.add("the dry run", "what was corrected stays", "column A");
  if ((await page.getByLabel("what is the group called?").inputValue()) !== "Northpier Stalls") faults.add("the dry run", "what was typed stays", "the group's name");
  await hand.press(main.locator("h3:has-text('Refused') + details summary"));
  await says("why a row is refused", "a good deal", "row 10");
  const ledgers = await (await page.request.get("/records")).text();
  if (!ledgers.includes("There are none yet")) faults.add("the dry run", "keeps nothing", "there are records");

  // Kept.
  await hand.press(button("Keep these 7 records"));
  await hand.comes("log.csv is in");
  await says("kept", "7 added");
  await hand.press(named("This week"));

  // This week: worst line first, with its reason and one act.
  await hand.comes("Northpier Stalls: this week");
  await says("this week", "3 lines in use", "Quince", "Harbour Stall", /off target|undecided/);
  const worst = main.locator("ol.worst > li").first();
  if ((await worst.locator(".act").innerText()).trim().length < 10) faults.add("this week", "one act", await worst.innerText());
  await hand.press(main.locator("ol.worst h3").getByRole("link", { name: /^Quince/ }));

  // A line.
  await hand.comes("Quince");
  await says("a line", "This catch shows", "35.8 mL", "The numbers");
  await hand.press(named("Record catches"));

  // The whole machine, as it stands on the sheet of paper.
  await hand.comes(/^Record catches: /);
  const field = (/** @type {string} */ line, /** @type {string} */ label) => main.getByRole("group", { name: new RegExp(`^Line .*${line}$`) }).getByLabel(label);
  await hand.type(page.getByLabel("Who caught it (optional)"), "Bo");
  await hand.tick(page.getByLabel("Copied from a paper sheet"));
  await hand.type(field("Plum", "As found: amount"), "29,6");
  await echoes(field("Plum", "As found: amount"), "29.6 mL");
  await hand.type(field("Quince", "As found: amount"), "thirty six");
  await hand.type(field("Sorrel", "If it was not caught: why (optional)"), "out of order");
  await hand.press(button("Check what it means"));

  // One figure is no number: it is said above and beside, and all else stays.
  await page.waitForFunction(() => document.title.startsWith("Error: "));
  await says("a wrong figure", "There is a problem");
  if ((await field("Plum", "As found: amount").inputValue()) !== "29,6") faults.add("a wrong figure", "what was typed stays", "Plum");
  await hand.press(main.locator(".faults a").first());
  await hand.type(field("Quince", "As found: amount"), "36,4");
  await hand.type(field("Quince", "Adjusted by"), "1/4 turn clockwise");
  await hand.type(field("Quince", "As left: amount"), "30");
  await hand.press(button("Check what it means"));

  // What it means, before anything is recorded.
  await hand.comes(/^Check before/);
  await says("the check", "Nothing is recorded until", "29.6 mL in 7 s", "36.4 mL in 7 s", "1/4 turn clockwise", "out of order", /on target|undecided/, "Bo");
  await hand.press(button("Change something"));
  await hand.comes(/^Record catches: /);
  if ((await field("Plum", "As found: amount").inputValue()) !== "29,6") faults.add("changing something", "what was typed stays", "Plum");
  await hand.type(field("Plum", "As found: amount"), "29,6; 29,8");
  await hand.press(button("Check what it means"));
  await hand.comes(/^Check before/);
  await says("the check again", "29.6 mL in 7 s; 29.8 mL in 7 s", /nothing needed adjusting/i);
  await hand.tick(page.getByLabel("What is asked above is as it was read and done"));
  await hand.press(button(/^Record \d/));

  // Verdict and act.
  await hand.comes(/^Recorded/);
  await says("recorded", "Plum", "Quince", /on target|off target|undecided/);
  for (const act of await main.locator("ol.worst .act").allInnerTexts()) {
    if (act.trim().length < 10) faults.add("recorded", "one act for each line", act);
  }
  await hand.press(named("See the machine"));

  // The machine, and its sheet.
  await hand.comes(/Front counter/);
  await says("the machine", "Plum", "Quince", "Sorrel");
  for (const paper of PAPERS) {
    await hand.press(named(`Print its sheet (${paper.name})`));
    await page.waitForURL(/\/sheet/);
    const sheets = await fits(page, "the machine's sheet", paper, file(paper.format), faults, true);
    if (sheets.length !== 1) faults.add("the machine's sheet", `one page on ${paper.name}`, `${sheets.length} pages`);
    for (const word of ["Plum", "Quince", "Sorrel", "Harbour Stall"]) {
      if (!sheets[0]?.includes(word)) faults.add("the machine's sheet", "does not say", word);
    }
    await page.goBack();
    await hand.comes(/Front counter/);
  }
}
