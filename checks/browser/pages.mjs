// What must hold of every page, whatever it is about.

import { readFileSync, mkdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { HtmlValidate } from "html-validate";
import { bare, overlay, ready } from "./browser.mjs";

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("./runner.mjs").Faults} Faults */

const require = createRequire(import.meta.url);
const AXE = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const HTMLCS = readFileSync(require.resolve("html_codesniffer/build/HTMLCS.js"), "utf8");

/** Smallest side of a target, in CSS pixels. */
const FINGER = 44;
/** Least contrast of text, and of the edges of controls. */
const TEXT = 7;
const EDGE = 3;
/** The narrowest window: also what is left of 640 pixels at 200 %. */
const NARROW = 320;
/** A telephone. */
const PHONE = 360;
/** As many stops of the Tab key are looked at on one page. */
const STOPS = 90;

const ALL = { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] };
/** Between light and dark only the style sheet changes, so that no other rule can find anything new. */
const DARK = { type: "rule", values: ["color-contrast", "link-in-text-block"] };

/** What a reader may set, by WCAG 1.4.12. Charts are pictures: a table says the same. */
const SPACED = `*:not(svg,svg *){line-height:1.5!important;letter-spacing:.12em!important;word-spacing:.16em!important}
p{margin-bottom:2em!important}`;

const MARKUP = new HtmlValidate({
  extends: ["html-validate:recommended"],
  rules: {
    // How a page is spelled on the wire is maud's business, not a reader's.
    "no-trailing-whitespace": "off",
    "void-style": "off",
    "attribute-boolean-style": "off",
    "attribute-empty-style": "off",
    "doctype-style": "off",
    // The names of a line, a machine and a site, whose length is the group's own choice, stand in titles.
    "long-title": "off",
    // An id may hold a stop: `adjuster.kind` is the name of the field in files too.
    "valid-id": ["error", { relaxed: true }],
    // `submit` is what a button in a form is, by the standard, and what ours are.
    "no-implicit-button-type": "off",
    // Some programs that follow spoken words find a field inside its label by `for` only.
    "no-redundant-for": "off",
    // A list may be named, and a row of figures is better understood with a name.
    "aria-label-misuse": ["error", { allowAnyNamable: true }],
    // A wide table scrolls inside a region that the keyboard reaches. The rule wants `section` there, which has the same
    // role once it is named: the same thing to a reader.
    "prefer-native-element": ["error", { exclude: ["region"] }],
  },
});

/** Where pictures of the pages go, if anywhere. */
const SHOTS = process.env.SHOTS;

/** What the address bar would say. @param {Page} page */
export function where(page) {
  const url = new URL(page.url());
  return url.pathname + url.search;
}

/**
 * The document as the server sent it.
 * @param {import("playwright-core").Response | null} response
 */
async function sent(response) {
  return response ? response.text() : "";
}

/**
 * @typedef {object} Seen a page that was opened
 * @property {string} name what kind of page it is
 * @property {Page} page
 * @property {import("playwright-core").Response | null} response
 * @property {boolean} [paper]
 * @property {boolean} [again] another page of this kind was seen: the keys lead through both alike
 */

/**
 * Everything at once.
 * @param {Seen} seen @param {Faults} faults @param {Map<string, string>} titles
 */
export async function everything(seen, faults, titles) {
  const { page, name } = seen;
  const at = `${name} ${where(page)}`;
  await ready(page);
  await structure(seen, at, faults, titles);
  await markup(at, await sent(seen.response), faults);
  await page.evaluate(AXE);
  await audit(page, `${at} light`, faults);
  await sniff(page, at, faults);
  await paints(page, `${at} light`, faults);
  await charts(page, at, faults);
  await shot(page, name, "1280");
  if (!seen.paper) {
    await page.emulateMedia({ colorScheme: "dark" });
    await audit(page, `${at} dark`, faults, DARK);
    await paints(page, `${at} dark`, faults);
    await shot(page, name, "1280-dark");
    await page.emulateMedia({ colorScheme: "light" });
    await narrow(page, at, name, faults);
  }
  if (!seen.again) await tabbing(page, at, faults);
}

/** @param {Page} page @param {string} name @param {string} how */
async function shot(page, name, how) {
  if (!SHOTS) return;
  mkdirSync(SHOTS, { recursive: true });
  await page.screenshot({ path: join(SHOTS, `${name.replace(/[^\w]+/g, "-")}.${how}.png`), fullPage: true });
}

/** Title, heading, language, landmarks, the way past the navigation, nothing written into the page. */
async function structure(/** @type {Seen} */ { page, paper }, /** @type {string} */ at, /** @type {Faults} */ faults, /** @type {Map<string, string>} */ titles) {
  const found = await page.evaluate(() => {
    const all = (/** @type {string} */ what) => document.querySelectorAll(what).length;
    const own = [...document.querySelectorAll("*")].flatMap((element) =>
      [...element.attributes]
        .filter(({ name }) => name === "style" || name.startsWith("on"))
        .map(({ name }) => `${name} on ${element.localName}`),
    );
    return {
      title: document.title,
      h1: all("h1"),
      lang: document.documentElement.lang,
      main: all("main"),
      header: all("body > header"),
      nav: all("body > header nav[aria-label]"),
      footer: all("body > footer"),
      skip: document.querySelector("body > a:first-child")?.getAttribute("href") ?? "",
      viewport: document.querySelector("meta[name=viewport]")?.getAttribute("content") ?? "",
      inside: own.concat(all("style") ? ["style element"] : [], all("script:not([src])") ? ["script without src"] : []),
      positive: all("[tabindex]:not([tabindex='0'],[tabindex='-1'])"),
    };
  });
  // One address may show more or less of the same; another address is another page.
  const path = new URL(page.url()).pathname;
  const before = titles.get(found.title);
  if (before !== undefined && before !== path) faults.add(at, "title is also that of another page", `“${found.title}”, ${before}`);
  titles.set(found.title, path);
  if (found.title.trim().length < 5) faults.add(at, "title says nothing", `“${found.title}”`);
  if (found.h1 !== 1) faults.add(at, "one h1", `${found.h1} of them`);
  // What is printed is in the language that was asked for.
  const language = new URL(page.url()).searchParams.get("language") ?? "en";
  if (found.lang !== language) faults.add(at, "lang", `“${found.lang}”`);
  if (found.main !== 1) faults.add(at, "one main", `${found.main} of them`);
  if (/user-scalable|maximum-scale/.test(found.viewport)) faults.add(at, "viewport lets nobody zoom", found.viewport);
  if (found.positive) faults.add(at, "tabindex above 0", `${found.positive} of them`);
  for (const one of found.inside) faults.add(at, "written into the page", one);
  // A sheet to be printed has no navigation, so that there is nothing to go past.
  if (paper) return;
  for (const place of /** @type {const} */ (["header", "nav", "footer"])) {
    if (found[place] !== 1) faults.add(at, `one ${place}`, `${found[place]} of them`);
  }
  if (found.skip !== "#main") faults.add(at, "skip link comes first", `“${found.skip}”`);
}

/** @param {string} at @param {string} html @param {Faults} faults */
async function markup(at, html, faults) {
  const report = await MARKUP.validateString(html);
  for (const { messages } of report.results) {
    for (const one of messages) {
      const around = html.split("\n")[one.line - 1]?.slice(Math.max(0, one.column - 21), one.column + 60) ?? "";
      faults.add(at, `html-validate ${one.ruleId}`, `${one.message} … ${around.trim()}`);
    }
  }
}

/** axe-core: all rules of WCAG A and AA and its best practices, or only some. */
async function audit(/** @type {Page} */ page, /** @type {string} */ at, /** @type {Faults} */ faults, runOnly = ALL) {
  const violations = await page.evaluate(async (runOnly) => {
    // @ts-expect-error It was put into the page above.
    const found = await window.axe.run(document, { runOnly, resultTypes: ["violations"] });
    return found.violations.map((/** @type {any} */ one) => ({
      id: one.id,
      nodes: one.nodes.map((/** @type {any} */ node) => `${node.target.join(" ")}: ${node.failureSummary.split("\n").slice(1).join(";").trim()}`),
    }));
  }, runOnly);
  for (const { id, nodes } of violations) for (const node of nodes) faults.add(at, `axe ${id}`, node);
}

/** The second opinion: the rules that pa11y runs, errors only. */
async function sniff(/** @type {Page} */ page, /** @type {string} */ at, /** @type {Faults} */ faults) {
  await page.evaluate(HTMLCS);
  const errors = await page.evaluate(
    () =>
      new Promise((resolve) => {
        // @ts-expect-error It was put into the page above.
        const sniffer = window.HTMLCS;
        sniffer.process("WCAG2AA", document, () => {
          const all = sniffer.getMessages().filter((/** @type {any} */ one) => one.type === sniffer.ERROR);
          // @ts-expect-error So was this.
          resolve(all.map((/** @type {any} */ one) => [one.code, `${window.look.name(one.element)}: ${one.msg}`]));
        });
      }),
  );
  for (const [code, what] of /** @type {[string, string][]} */ (errors)) {
    // It asks for `headers` on every cell under two rows of heads. Ours say `scope`, which WCAG takes as well (H63).
    if (!code.endsWith("H43.HeadersRequired")) faults.add(at, `HTML_CodeSniffer ${code}`, what);
  }
}

/** Contrast of text and of edges. */
async function paints(/** @type {Page} */ page, /** @type {string} */ at, /** @type {Faults} */ faults) {
  // @ts-expect-error look.js
  const [faint, edgeless] = await page.evaluate(([text, edge]) => [window.look.faint(text), window.look.edgeless(edge)], [TEXT, EDGE]);
  for (const one of faint) faults.add(at, `text under ${TEXT}:1`, one);
  for (const one of edgeless) faults.add(at, `edge of a control under ${EDGE}:1`, one);
}

/** A telephone, a narrow window, larger text and wider spacing. */
async function narrow(/** @type {Page} */ page, /** @type {string} */ at, /** @type {string} */ name, /** @type {Faults} */ faults) {
  const wide = async (/** @type {string} */ how) => {
    // @ts-expect-error look.js
    const [over, cut] = await page.evaluate(() => [window.look.wide(), window.look.cut()]);
    for (const one of over) faults.add(at, `scrolls sideways ${how}`, one);
    for (const one of cut) faults.add(at, `hides text ${how}`, one);
  };
  await page.setViewportSize({ width: PHONE, height: 740 });
  // @ts-expect-error look.js
  for (const one of await page.evaluate((least) => window.look.small(least), FINGER)) {
    faults.add(at, `target under ${FINGER} × ${FINGER}`, one);
  }
  await wide(`at ${PHONE} px`);
  await shot(page, name, "360");
  await page.setViewportSize({ width: NARROW, height: 640 });
  await wide(`at ${NARROW} px`);
  await overlay(page, SPACED);
  await wide(`at ${NARROW} px with wider text spacing`);
  await page.setViewportSize({ width: 1280, height: 900 });
  await wide("at 1280 px with wider text spacing");
  await overlay(page, "html{font-size:200%!important}");
  await page.setViewportSize({ width: 640, height: 900 });
  await wide("at 640 px with text twice as large");
  await bare(page);
  await page.emulateMedia({ forcedColors: "active" });
  await shot(page, name, "640-forced");
  await page.emulateMedia({ forcedColors: "none" });
}

/** Every stop of the Tab key is seen, marked and uncovered, and the key leads through all of the page. */
async function tabbing(/** @type {Page} */ page, /** @type {string} */ at, /** @type {Faults} */ faults) {
  await page.setViewportSize({ width: PHONE, height: 740 });
  // @ts-expect-error look.js
  const stops = await page.evaluate(() => window.look.beforeTabbing());
  let met = 0;
  for (; met < STOPS; met += 1) {
    await page.keyboard.press("Tab");
    // @ts-expect-error look.js
    const stop = await page.evaluate(() => window.look.stop());
    if (!stop) break;
    for (const fault of stop.faults) faults.add(at, "focus", `${stop.name} ${fault}`);
  }
  if (met < Math.min(stops, STOPS)) faults.add(at, "Tab", `leads to ${met} of ${stops} stops`);
  await page.setViewportSize({ width: 1280, height: 900 });
}

/** Charts: named and described, at most four colours, and the same in a table. */
async function charts(/** @type {Page} */ page, /** @type {string} */ at, /** @type {Faults} */ faults) {
  const found = await page.evaluate(() => {
    // @ts-expect-error look.js
    const look = window.look;
    /** @type {[string, string][]} */
    const wrong = [];
    for (const chart of document.querySelectorAll("main svg")) {
      const name = `svg.${chart.getAttribute("class")?.replace(" ", ".")}`;
      const child = (/** @type {string} */ tag) => [...chart.children].find((one) => one.localName === tag)?.textContent?.trim() ?? "";
      if (chart.getAttribute("aria-hidden") !== "true") {
        if (chart.getAttribute("role") !== "img") wrong.push(["chart has no role", name]);
        if (!child("title") && !chart.getAttribute("aria-label")) wrong.push(["chart has no title", name]);
        if (!chart.matches(".dots") && !child("desc")) wrong.push(["chart has no description", name]);
      }
      if (!look.seen(chart)) continue;
      const surface = getComputedStyle(document.documentElement).getPropertyValue("--surface").trim();
      const probe = document.createElement("i");
      document.body.append(probe);
      probe.style.color = surface || "#fff";
      const own = getComputedStyle(probe).color;
      probe.remove();
      const paints = new Set();
      for (const part of chart.querySelectorAll("path,circle,rect,line,polyline,polygon,text,ellipse")) {
        const style = getComputedStyle(part);
        for (const paint of [style.fill, style.stroke]) if (paint !== "none" && paint !== own) paints.add(paint);
      }
      if (paints.size > 4) wrong.push(["chart has more than four colours", `${name}: ${[...paints].join(", ")}`]);
      const rows = document.querySelectorAll("main table tbody tr").length;
      const points = chart.querySelectorAll("[class^=pt]").length;
      if (chart.matches(".line") && rows < points) wrong.push(["chart has no table twin", `${name}: ${points} points, ${rows} rows`]);
      if (chart.matches(".machine") && rows === 0) wrong.push(["chart has no table twin", `${name}: ${points} points, no table`]);
      if (chart.matches(".dots") && !chart.closest("li,tr")?.querySelector(".verdict")) wrong.push(["small picture without its words", name]);
    }
    return wrong;
  });
  for (const [rule, what] of found) faults.add(at, rule, what);
}
