// @ts-check
// A slider stands beside a field and writes into it, in its own unit.

/** @param {HTMLElement} main */
export function sliders(main) {
  main.addEventListener("input", (e) => {
    const t = /** @type {HTMLInputElement} */ (e.target);
    if (t.type === "range" && t.dataset.for) {
      const field = /** @type {HTMLInputElement} */ (document.getElementById(t.dataset.for));
      field.value = t.dataset.unit ? `${t.value} ${t.dataset.unit}` : t.value;
      t.setAttribute("aria-valuetext", field.value);
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });
}
