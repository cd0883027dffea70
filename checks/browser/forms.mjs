// Forms that were filled in wrongly, and forms that were sent too often.

import { where } from "./pages.mjs";

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("./runner.mjs").Faults} Faults */

/** As often is one form sent at once. */
const OFTEN = 50;

/**
 * Fills in fields by their ids. A field that is a list or a dot is chosen.
 * @param {Page} page @param {Record<string, string>} values
 */
export async function fill(page, values) {
  for (const [id, value] of Object.entries(values)) {
    const field = page.locator(`[id="${id}"]`);
    const kind = await field.evaluate((one) => (one instanceof HTMLInputElement ? one.type : one.localName));
    // What stands folded away, perhaps within what is folded away itself, is unfolded first.
    await field.evaluate((one) => {
      for (let at = one.closest("details"); at; at = at.parentElement?.closest("details") ?? null) at.setAttribute("open", "");
    });
    if (kind === "select") await field.selectOption(value);
    else if (kind === "radio" || kind === "checkbox") await field.setChecked(value !== "no");
    else if (kind === "file") await field.setInputFiles(value);
    else await field.fill(value);
  }
}

/**
 * A form that was filled in wrongly comes back as such, with all its faults at once.
 * @param {Page} page @param {import("playwright-core").Response | null} response
 * @param {{ name: string, wrong: Record<string, string>, faults?: string[] }} state @param {Faults} faults
 */
export async function refused(page, response, state, faults) {
  if (response?.status() !== 422) faults.add(state.name, "status 422", String(response?.status()));
  for (const id of state.faults ?? []) {
    if ((await page.locator(`.faults a[href="#${id}"]`).count()) === 0) faults.add(state.name, "all faults at once", `#${id} is not among them`);
  }
  await saysWhatIsWrong(page, state.name, state.wrong, faults);
}

/**
 * What must hold of a page that says what is wrong with a form.
 * @param {Page} page @param {string} at @param {Record<string, string>} typed by id of the field @param {Faults} faults
 */
async function saysWhatIsWrong(page, at, typed, faults) {
  const title = await page.title();
  if (!title.startsWith("Error: ")) faults.add(at, "title begins with “Error: ”", `“${title}”`);
  const summary = page.locator("main .faults[role=alert]");
  if ((await summary.count()) !== 1) return faults.add(at, "one summary of faults", `${await summary.count()} of them`);
  if ((await summary.locator("h2").innerText()) !== "There is a problem") faults.add(at, "heading of the summary", await summary.locator("h2").innerText());
  if (!(await summary.evaluate((one) => one === document.activeElement))) {
    faults.add(at, "summary has the focus", await page.evaluate(() => document.activeElement?.outerHTML.slice(0, 80) ?? ""));
  }
  const links = await summary.locator("a").all();
  if (links.length === 0) faults.add(at, "summary links to fields", "no link");
  for (const link of links) {
    const words = (await link.innerText()).trim();
    const id = ((await link.getAttribute("href")) ?? "").slice(1);
    const field = page.locator(`[id="${id}"]`);
    if ((await field.count()) !== 1) {
      faults.add(at, "link of the summary lands on a field", `#${id}: ${await field.count()} fields`);
      continue;
    }
    const beside = page.locator(`[id="${id}-fault"]`);
    const said = await page.locator(`[id="${id}-fault"] > p`).allInnerTexts();
    if (!said.some((one) => one.replace(/\s+/g, " ").trim() === `Error: ${words}`)) faults.add(at, "the same words beside the field", `#${id}: “${words}”, beside it ${JSON.stringify(said)}`);
    else if (!(await beside.first().isVisible())) faults.add(at, "words beside the field are seen", `#${id}`);
    await link.click();
    const lands = await field.evaluate((one) => one === document.activeElement || one.contains(document.activeElement));
    if (!lands) faults.add(at, "link of the summary lands on its field", `#${id}`);
    const about = await field.evaluate((one) => `${one.getAttribute("aria-describedby") ?? one.closest("fieldset")?.getAttribute("aria-describedby")}`);
    if (!about.split(" ").includes(`${id}-fault`)) faults.add(at, "the field is described by its fault", `#${id}: aria-describedby “${about}”`);
  }
  for (const [id, value] of Object.entries(typed)) {
    // A browser lets no page fill in a file.
    if (id === "sheet") continue;
    const field = page.locator(`[id="${id}"]`);
    if ((await field.count()) === 0) faults.add(at, "value is kept", `#${id} is gone`);
    else {
      const now = await field.evaluate((one) => (one instanceof HTMLInputElement && ["radio", "checkbox"].includes(one.type) ? (one.checked ? "yes" : "no") : /** @type {HTMLInputElement} */ (one).value));
      if (now !== value) faults.add(at, "value is kept", `#${id}: “${now}”, typed was “${value}”`);
    }
  }
}

/**
 * Sends the form of a button many times at once, as a wet thumb would. Gives the statuses that came back.
 * @param {Page} page @param {string} button selector of the button
 */
export async function sendOften(page, button) {
  return await page.locator(button).evaluate(async (pressed, times) => {
    const form = /** @type {HTMLButtonElement} */ (pressed).form;
    if (!form) return [];
    const fields = new FormData(form);
    fields.append(pressed.getAttribute("name") ?? "", pressed.getAttribute("value") ?? "");
    const body = new URLSearchParams(/** @type {any} */ ([...fields]));
    const answers = await Promise.all(Array.from({ length: times }, () => fetch(form.action, { method: "POST", body })));
    return answers.map((answer) => `${answer.status} ${new URL(answer.url).pathname}`);
  }, OFTEN);
}

/** How many records a site's ledger has. @param {Page} page @param {string} site */
export async function records(page, site) {
  const answer = await page.request.get(`/records/${site}`);
  const words = /([\d,. ]+) records?, in the order/.exec(await answer.text());
  if (!words) throw new Error(`the page of the ledger ${site} does not say how many records it has`);
  return Number(words[1].replace(/\D/g, ""));
}

/**
 * A recording form that is sent fifty times at once makes one set of records; so does the button pressed once more
 * after going back.
 * @param {Page} page @param {string} machine path of its page @param {Record<string, string>} values @param {Faults} faults
 */
export async function recordedOnce(page, machine, values, faults) {
  const site = machine.split("/")[2];
  await page.goto(`${machine}/record`);
  await fill(page, values);
  await page.locator("main button[value=check]").click();
  await page.locator("main button[value=keep]").waitFor();
  const expected = Number(/\d+/.exec(await page.locator("main button[value=keep]").innerText())?.[0]);
  const before = await records(page, site);
  const answers = await sendOften(page, "main button[value=keep]");
  const at = `${machine}/record`;
  const kinds = [...new Set(answers)];
  if (kinds.length !== 1 || !kinds[0]?.startsWith(`200 ${machine}/recorded/`)) faults.add(at, `sent ${OFTEN} times at once`, kinds.join("; "));
  let after = await records(page, site);
  if (after - before !== expected) faults.add(at, "one set of records", `${after - before} records of ${answers.length} tries, not ${expected}`);
  await page.locator("main button[value=keep]").dblclick();
  await page.waitForURL(/\/recorded\//);
  try {
    await page.goBack();
    await page.locator("main button[value=keep]").click();
    await page.waitForURL(/\/recorded\//);
  } catch (error) {
    const why = error instanceof Error ? error.message.split("\n")[0] : String(error);
    return faults.add(at, "going back shows the last page", why);
  }
  after = await records(page, site);
  if (after - before !== expected) faults.add(at, "one set of records after going back", `${after - before} records, not ${expected}; now at ${where(page)}`);
}
