// Pages that no link leads to: what comes of forms, right and wrong, and of what is not there.

import { fileURLToPath } from "node:url";
import { fill } from "./forms.mjs";

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("playwright-core").Response | null} Answer */

/**
 * A page, and how one gets there.
 * @typedef {object} State
 * @property {string} name
 * @property {(page: Page) => Promise<Answer>} open
 * @property {Record<string, string>} [wrong] what was typed by id, if the page says that it is wrong
 * @property {string[]} [faults] ids of fields of which all must be named at once
 * @property {boolean} [own] in a store of its own, for it changes what others look at
 */

/**
 * Presses, and gives the document that comes.
 * @param {Page} page @param {string} button
 */
export async function sends(page, button) {
  const document = page.waitForResponse((response) => {
    const request = response.request();
    return request.isNavigationRequest() && request.frame() === page.mainFrame() && ![301, 302, 303, 307, 308].includes(response.status());
  });
  await page.locator(button).click();
  const answer = await document;
  await page.waitForLoadState("load");
  return answer;
}

/**
 * A form that is filled in and sent.
 * @param {string} name @param {string} path @param {Record<string, string>} values @param {string} button @param {boolean} [wrong]
 * @returns {State}
 */
function form(name, path, values, button, wrong = false) {
  return {
    name,
    open: async (page) => {
      await page.goto(path);
      await fill(page, values);
      return sends(page, button);
    },
    wrong: wrong ? values : undefined,
  };
}

/** One machine of each family of the demo: every way of setting and of metering. */
export const MACHINES = [
  "/sites/fernhollow/counter-1",
  "/sites/fernhollow/window-1",
  "/sites/otterlea/window-1",
  "/sites/quillbrook/window-1",
  "/sites/saltersfold/window-1",
  "/sites/hazelmoss/window-1",
  "/sites/ashenwater/window-1",
];

const CLEAN = "/procedures/screw-trim/weekly-clean";
const SCREW = "/sites/mossgate/counter-1";
const RATIO = "/sites/otterlea/window-1";
const PANEL = "/sites/saltersfold/window-1";
const SHEET = fileURLToPath(new URL("log.csv", import.meta.url));
/** Not a sheet at all. */
const PICTURE = fileURLToPath(new URL("../../crates/web/src/assets/icon.svg", import.meta.url));
const LOOK = "main form[action='/bring'] button";
const TELL = "main button[value=check]";

/** @returns {State[]} */
export function states() {
  return [
    { name: "not there", open: (page) => page.goto("/nowhere") },
    { name: "no such site", open: (page) => page.goto("/sites/fernholow") },
    { name: "no such line", open: (page) => page.goto(`${SCREW}/99`) },
    { name: "sites, found by name", open: (page) => page.goto("/sites?find=moss") },
    { name: "sites, none found", open: (page) => page.goto("/sites?find=nothing") },
    form("record, check", `${SCREW}/record`, { "found-1": "29,6; 30.1", "found-2": "36.4", "done-2": "1/4 turn clockwise", "left-2": "30", "why-3": "too busy", by: "Bo" }, TELL),
    form("record, check of a ratio", `${RATIO}/record`, { "found-1": "31 g", "found-water-1": "148 g" }, TELL),
    {
      name: "recorded",
      open: async (page) => {
        await page.goto("/sites/fernhollow/window-1/record");
        await fill(page, { "found-1": "20.4", "found-2": "19" });
        await sends(page, TELL);
        return sends(page, "main button[value=keep]");
      },
    },
    form("record, nothing filled in", "/sites/fernhollow/counter-1/record", {}, TELL, true),
    {
      ...form(
        "record, wrong",
        `${SCREW}/record`,
        { day: "2026-13-01", time: "noon", "found-1": "thirty", "found-2": "29.6", "found-draw-2": "quick", "found-3": "30", "why-3": "too busy", "left-4": "29 oz" },
        TELL,
        true,
      ),
      faults: ["day", "time", "found-1", "found-draw-2", "why-3", "left-4"],
    },
    form("record, wrong number of a panel", `${PANEL}/record`, { "done-1": "a little", "found-1": "20" }, TELL, true),
    form("round, check", `${SCREW}/round`, ROUND, TELL),
    {
      name: "round, recorded",
      open: async (page) => {
        await page.goto("/sites/copperlow/counter-1/round");
        await fill(page, { ...ROUND, "strip-outlet": "", "outlet-time": "", "contact-end": "" });
        await sends(page, TELL);
        return sends(page, "main button[value=keep]");
      },
    },
    {
      ...form(
        "round, wrong",
        `${PANEL}/round`,
        { opened: "noon", dose: "1 sachet", temperature: "warm", "outlet-time": "later", "contact-end": "long enough", mended: "mixed again" },
        TELL,
        true,
      ),
      faults: ["opened"],
    },
    form("procedure, checked as it is", `${CLEAN}`, {}, TELL),
    form("procedure, checked and broken", `${CLEAN}`, { text: 'kind = "polish"\nfamily = "screw-trim"' }, TELL),
    form("procedure, what to bring, nowhere", `${CLEAN}`, { for: "nowhere" }, "main form[method=get] button", true),
    form("procedure, begun as a copy", "/procedures", { family: "screw-trim", name: "monthly-clean" }, "main form button"),
    form("procedure, begun, wrong", "/procedures", { family: "A family", name: "weekly-clean" }, "main form button", true),
    {
      name: "procedure, published",
      open: async (page) => {
        await page.goto(CLEAN);
        const text = await page.locator("#text").inputValue();
        await fill(page, { text: `${text}\n# ours` });
        await sends(page, TELL);
        return sends(page, "main button[value=publish]");
      },
      own: true,
    },
    form("calculate, a strength", "/calculate/strength", { "label-strength": "100 to 200 ppm", "label-contact": "60 s", product: "0.95 g available", dose: "1 sachet", water: "10 L", temperature: "24 °C", ph: "7" }, "main form button"),
    form("set up, food code, nothing chosen", "/setup/profiles", { name: "Our county" }, "main form button", true),
    {
      name: "set up, food code, a copy",
      open: copied,
    },
    {
      name: "set up, food code, wrong",
      open: async (page) => {
        await copied(page);
        await fill(page, { "limit.2.from": "fifty", "after.rule": "" });
        return sends(page, TELL);
      },
      wrong: { "limit.2.from": "fifty", "after.rule": "" },
      faults: ["limit.2.from", "after.rule"],
    },
    {
      name: "set up, food code, check",
      open: async (page) => {
        await copied(page);
        await fill(page, { "limit.2.from": "60", edition: "2026" });
        return sends(page, TELL);
      },
    },
    form("calculate, a measure", "/calculate", { target: "30 mL in 7 s", "reads-mark": "yes", step: "30 mL", limit: "2 mL" }, "main form button"),
    form("calculate, a catch", "/calculate", { target: "30 mL in 7 s", step: "1 mL", limit: "0.5 mL", catch: "31 mL in 7.1 s" }, "main form button"),
    form("calculate, wrong", "/calculate", { target: "thirty", step: "1 mL" }, "main form button", true),
    form("calculate, a flush", "/calculate/flush", { bore: "6.35 mm", length: "3 m", flow: "5 mL/s", contents: "syrup 60 Bx", "holds-pressure-no": "yes", "top-opens-yes": "yes" }, "main form button"),
    form("calculate, a flush of a line that is not known", "/calculate/flush", { flow: "5 mL/s" }, "main form button"),
    form("calculate, a flush, wrong", "/calculate/flush", { bore: "six", flow: "5 mL/s" }, "main form button", true),
    form("calculate, wrong further down", "/calculate", { target: "30 mL in 7 s", step: "1 mL", density: "heavy" }, "main form button", true),
    {
      name: "record of a ledger, withdrawn without a reason",
      open: async (page) => {
        await record(page, "fernhollow");
        return sends(page, "main button.away");
      },
      wrong: { reason: "" },
    },
    {
      name: "record of a ledger, withdrawn",
      open: async (page) => {
        await record(page, "otterlea");
        await fill(page, { reason: "typed into the wrong line" });
        return sends(page, "main button.away");
      },
    },
    form("bring, nothing chosen", "/bring", {}, LOOK, true),
    form("bring, no sheet", "/bring", { sheet: PICTURE }, LOOK, true),
    { name: "bring, the reading", open: brought, own: true },
    {
      name: "bring, read otherwise",
      open: async (page) => {
        await brought(page);
        await fill(page, { "means-A": "site", "means-G": "nothing", "unit-E": "fl oz" });
        return sends(page, "main button[value=look]");
      },
      own: true,
    },
    {
      name: "bring, a wrong answer",
      open: async function (page) {
        await brought(page);
        const target = page.getByLabel(/^what does the recipe ask for, where/i);
        const id = (await target.getAttribute("id")) ?? "";
        await fill(page, { [id]: "thirty", "unit-E": "cl" });
        this.wrong = { "unit-E": "cl" };
        return sends(page, "main button[value=look]");
      },
      wrong: {},
      own: true,
    },
    {
      name: "bring, kept",
      open: async (page) => {
        await brought(page);
        return sends(page, "main button[value=keep]");
      },
      own: true,
    },
    {
      name: "bring, take back",
      open: async (page) => {
        await brought(page);
        await sends(page, "main button[value=keep]");
        await page.goto("/bring");
        await page.locator("main a[href^='/bring/back/']").click();
        return page.reload();
      },
      own: true,
    },
    {
      name: "bring, taken back",
      open: async (page) => {
        await brought(page);
        await sends(page, "main button[value=keep]");
        await page.goto("/bring");
        await page.locator("main a[href^='/bring/back/']").click();
        return sends(page, "main button.away");
      },
      own: true,
    },
    form("set up, group, wrong", "/setup/group", { name: "Northpier", time_zone: "Nowhere/Atall", risk: "often" }, TELL, true),
    form("set up, owner, wrong", "/setup/owners", { key: "A key!", name: "Bo" }, TELL, true),
    form("set up, family, wrong", "/setup/families", { name: "Fast", metering: "rate", "adjuster.kind": "screw", "adjuster.per_turn": "a lot" }, TELL, true),
    form("set up, product, wrong", "/setup/products", { name: "Plum", density: "heavy" }, TELL, true),
    form("set up, measure, wrong", "/setup/measures", { name: "jug", kind: "vessel", division: "some" }, TELL, true),
    form("set up, site, wrong", "/setup/sites", { name: "Northpier", time_zone: "Nowhere/Atall" }, TELL, true),
    form("set up, machine, wrong", "/setup/sites/mossgate/machines", { name: "Third counter", serial: "X-1" }, TELL, true),
    form("set up, line, wrong", `/setup${SCREW.replace("counter-1", "machines/counter-1")}/lines/1`, { target: "thirty", tolerance: "some", draw: "long" }, TELL, true),
    form("set up, files, wrong name", "/setup/files", { name: "nothing.toml", text: "a = 1" }, TELL, true),
    form("set up, files, wrong text", "/setup/files", { name: "products.toml", text: "[[plum]\nname = 3" }, TELL, true),
    form("set up, line, check", `/setup${SCREW.replace("counter-1", "machines/counter-1")}/lines/1`, { target: "32 mL" }, TELL),
    {
      name: "set up, files, check",
      open: async (page) => {
        const file = await page.request.get("/setup/files/products.toml");
        await page.goto("/setup/files");
        await fill(page, { name: "products.toml", text: `${await file.text()}\n[plum]\nname = "Plum"\n` });
        return sends(page, TELL);
      },
    },
    {
      name: "set up, product, recorded",
      open: async (page) => {
        await page.goto("/setup/products");
        await fill(page, { name: "Plum" });
        await sends(page, TELL);
        return sends(page, "main button[value=keep]");
      },
      own: true,
    },
  ];
}

/** A day ago, so that no time of it is still to come. */
const YESTERDAY = new Date(Date.now() - 86_400_000).toISOString().slice(0, 10);

/** A round whose flush was too short, with all else that must be on record. */
const ROUND = {
  day: YESTERDAY,
  opened: "06:40",
  by: "Bo",
  dose: "1 sachet",
  water: "10 L",
  temperature: "25 °C",
  "strip-bucket": "100",
  "strip-outlet": "100",
  "outlet-time": "06:52",
  "contact-end": "2 min",
  drained: "open",
  discarded: "yes",
  "flushed-before": "8 s",
  "parts-good": "yes",
  lubricant: "Seal film",
  "product-temperature": "4 °C",
  "product-lot": "G-118",
  "product-opened": YESTERDAY,
};

/** A food code of one's own, begun and not recorded. @param {Page} page */
async function copied(page) {
  await page.goto("/setup/profiles");
  await fill(page, { base: "model-code", name: "Our county" });
  return sends(page, "main form button");
}

/** The page of a sheet that was just chosen. @param {Page} page */
async function brought(page) {
  await page.goto("/bring");
  await fill(page, { sheet: SHEET });
  return sends(page, LOOK);
}

/** Opens the newest record of a site that can be withdrawn. @param {Page} page @param {string} site */
async function record(page, site) {
  await page.goto(`/records/${site}`);
  const rows = page.locator("main tbody tr", { hasText: "caught" });
  await rows.first().locator("a").click();
  await page.locator("main button.away").waitFor();
}
