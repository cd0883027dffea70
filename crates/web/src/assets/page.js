// What a browser adds to pages that work without it: the focus on what is wrong, a button that prints, an echo of what
// is typed, and a warning before typed figures are lost.
// @ts-check

for (const place of document.querySelectorAll("[data-focus]")) {
  if (place instanceof HTMLElement) place.focus();
}

for (const place of document.querySelectorAll("[data-print]")) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "plain";
  button.textContent = place.getAttribute("data-print") || "Print";
  button.addEventListener("click", () => window.print());
  place.append(button);
}

/**
 * Says beside a field what was understood of it.
 * @param {HTMLInputElement} field
 * @param {HTMLElement} out
 */
async function echo(field, out) {
  const text = field.value.trim();
  if (text === "") {
    out.textContent = "";
    return;
  }
  /** One of the readings that the field holds. @param {string} one */
  const understood = async (one) => {
    const asked = new URLSearchParams({ text: one, as: field.dataset.echo || "amount" });
    if (field.dataset.unit) asked.set("unit", field.dataset.unit);
    const answer = await fetch(`/api/v1/read?${asked}`);
    const read = await answer.json();
    return answer.ok ? `= ${read.read}` : read.detail;
  };
  try {
    const each = text.split(";").map((one) => one.trim()).filter((one) => one !== "");
    const all = await Promise.all(each.map(understood));
    // Typed on meanwhile: this answer is to an older question.
    if (field.value.trim() === text) out.textContent = all.join("; ");
  } catch {
    out.textContent = "";
  }
}

for (const field of document.querySelectorAll("input[data-echo]")) {
  if (!(field instanceof HTMLInputElement)) continue;
  const out = document.createElement("output");
  out.className = "echo";
  out.setAttribute("for", field.id);
  field.after(out);
  field.addEventListener("change", () => void echo(field, out));
}

for (const form of document.querySelectorAll("form[data-keep]")) {
  if (!(form instanceof HTMLFormElement)) continue;
  let typed = false;
  form.addEventListener("input", () => (typed = true));
  form.addEventListener("submit", () => (typed = false));
  window.addEventListener("beforeunload", (event) => {
    if (typed) event.preventDefault();
  });
}
