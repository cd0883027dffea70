// A person's hand: with a pointer, or with the keys Tab, Space, Enter and the arrows alone.

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("playwright-core").Locator} Locator */

/** More stops than any page has. */
const FAR = 400;

export class Hand {
  /** @param {Page} page @param {boolean} keys keyboard alone */
  constructor(page, keys) {
    this.page = page;
    this.keys = keys;
  }

  /** Presses Tab until the focus is there. @param {Locator} place */
  async #tabTo(place) {
    await place.waitFor();
    const there = () => place.evaluate((one) => {
      const focus = document.activeElement;
      // One dot of a question takes the focus for all of them.
      return focus === one || (one instanceof HTMLInputElement && one.type === "radio" && focus instanceof HTMLInputElement && focus.name === one.name);
    });
    for (let presses = 0; presses < FAR; presses += 1) {
      if (await there()) return;
      await this.page.keyboard.press("Tab");
    }
    throw new Error(`the Tab key does not lead to ${place}`);
  }

  /** Follows a link, or presses a button. @param {Locator} place */
  async press(place) {
    if (!this.keys) return place.click();
    await this.#tabTo(place);
    await this.page.keyboard.press("Enter");
  }

  /** Types into a field, in place of what stands there. @param {Locator} field @param {string} text */
  async type(field, text) {
    if (!this.keys) return field.fill(text);
    await this.#tabTo(field);
    await this.page.keyboard.press("Control+A");
    await this.page.keyboard.press("Delete");
    await this.page.keyboard.type(text);
  }

  /** Chooses from a list. @param {Locator} list @param {string} value */
  async choose(list, value) {
    if (!this.keys) return void (await list.selectOption(value));
    await this.#tabTo(list);
    const places = await list.evaluate((one, wanted) => {
      const { options, selectedIndex } = /** @type {HTMLSelectElement} */ (one);
      const at = [...options].findIndex((option) => option.value === wanted);
      return at < 0 ? null : at - selectedIndex;
    }, value);
    if (places === null) throw new Error(`${list} has no “${value}”`);
    for (let i = 0; i < Math.abs(places); i += 1) await this.page.keyboard.press(places > 0 ? "ArrowDown" : "ArrowUp");
    const now = await list.inputValue();
    if (now !== value) throw new Error(`the arrow keys chose “${now}” in ${list}, not “${value}”`);
  }

  /** Sets a box or a dot. @param {Locator} box */
  async tick(box) {
    if (await box.isChecked()) return;
    if (!this.keys) return box.check();
    await this.#tabTo(box);
    for (let i = 0; i < 12 && !(await box.isChecked()); i += 1) {
      const radio = (await box.getAttribute("type")) === "radio";
      const itself = await box.evaluate((one) => one === document.activeElement);
      await this.page.keyboard.press(radio && !itself ? "ArrowDown" : "Space");
    }
    if (!(await box.isChecked())) throw new Error(`no key ticks ${box}`);
  }

  /** Chooses a file. @param {Locator} field @param {string} path */
  async file(field, path) {
    const chooser = this.page.waitForEvent("filechooser");
    if (this.keys) {
      await this.#tabTo(field);
      await this.page.keyboard.press("Space");
    } else {
      await field.click();
    }
    await (await chooser).setFiles(path);
  }

  /** The page whose heading says this has come. @param {string | RegExp} words */
  async comes(words) {
    await this.page.getByRole("heading", { level: 1, name: words }).waitFor();
  }
}
