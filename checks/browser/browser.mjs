// Chromium, and a watch over all that its pages say and ask for.

import { readFileSync } from "node:fs";
import { chromium } from "playwright-core";

/** Defines `window.look`, which the checks use inside pages. */
const LOOK = readFileSync(new URL("look.js", import.meta.url), "utf8");

/** Statuses that a page may have without a word in the console being a fault. */
const SAID = /^Failed to load resource: the server responded with a status of (4\d\d)/;

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("./runner.mjs").Faults} Faults */
/** @typedef {{ js?: boolean, width?: number, height?: number, downloads?: boolean }} Wish */

export class Browser {
  /** @param {import("playwright-core").Browser} browser */
  constructor(browser) {
    this.browser = browser;
  }

  static async open() {
    const args = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
    return new Browser(await chromium.launch({ executablePath: "/usr/bin/chromium", args }));
  }

  /**
   * A page of its own, watched: whatever it asks another host for, whatever the console says, and every document
   * without its policy is a fault.
   * @param {string} origin @param {Faults} faults @param {Wish} [wish]
   */
  async page(origin, faults, { js = true, width = 1280, height = 900 } = {}) {
    const context = await this.browser.newContext({
      baseURL: origin,
      javaScriptEnabled: js,
      viewport: { width, height },
      locale: "en-GB",
      timezoneId: "Etc/UTC",
    });
    const page = await context.newPage();
    page.setDefaultTimeout(30_000);
    watch(page, origin, faults);
    return page;
  }

  async close() {
    await this.browser.close();
  }
}

/** @param {Page} page @param {string} origin @param {Faults} faults */
function watch(page, origin, faults) {
  const here = () => page.url().replace(origin, "") || page.url();
  page.context().on("request", (request) => {
    const at = request.url();
    if (!at.startsWith(`${origin}/`) && !at.startsWith("about:")) faults.add(here(), "asks another host", at);
  });
  page.on("console", (message) => {
    if (message.type() !== "error" && message.type() !== "warning") return;
    // Chromium writes down each answer of 400 and above. For a page that says what is wrong that is its very purpose.
    const at = message.location().url.split("#")[0];
    if (SAID.test(message.text()) && at === page.url().split("#")[0]) return;
    // So it does where a field is read as it is typed, and says what is wrong with it.
    if (SAID.test(message.text()) && new URL(at).pathname === "/api/v1/read") return;
    faults.add(here(), `console ${message.type()}`, `${message.text()} (${message.location().url})`);
  });
  page.on("pageerror", (error) => faults.add(here(), "script stopped", error.message));
  page.on("response", (response) => {
    if (response.request().resourceType() === "document") policy(response, origin, faults);
    if (response.status() >= 500) faults.add(response.url(), "defect of the server", String(response.status()));
  });
}

/** @param {import("playwright-core").Response} response @param {string} origin @param {Faults} faults */
function policy(response, origin, faults) {
  if (response.status() >= 300 && response.status() < 400) return;
  const said = response.headers()["content-security-policy"] ?? "";
  const at = response.url().replace(origin, "");
  if (!said.includes("default-src 'none'")) faults.add(at, "content-security-policy", said || "none");
  if (/unsafe|\*|https?:/.test(said)) faults.add(at, "content-security-policy lets too much in", said);
}

/**
 * Gets `window.look` into the page that is shown now.
 * @param {Page} page
 */
export async function ready(page) {
  await page.evaluate(LOOK);
}

/**
 * Lays style rules over the page, past its policy: only a test may.
 * @param {Page} page @param {string} rules
 */
export async function overlay(page, rules) {
  await page.evaluate((text) => {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(text);
    document.adoptedStyleSheets = [sheet];
  }, rules);
}

/** Takes such rules away. @param {Page} page */
export async function bare(page) {
  await page.evaluate(() => {
    document.adoptedStyleSheets = [];
  });
}
