// @ts-check
// Rows on the plan can be taken hold of and moved, with the pointer or with the
// arrow keys. The places go into the field of the rows one by one, so that
// everything is worked out while they move; the picture is drawn anew once they
// are let go.

const step = 0.5; // mm

/** @param {HTMLElement} main */
export function layout(main) {
  /** @type {{svg: SVGSVGElement, row: number, lines: number[], from: number, k: number, y0: number} | null} */
  let held = null;
  let focus = -1; // the row to take up again once the picture is new
  let letGo = 0;
  let place = ""; // what was said last of a row that was moved

  const facts = () => {
    const d = /** @type {HTMLElement | null} */ (main.querySelector("[data-rows]"));
    return d && { lines: (d.dataset.rows ?? "").split(" ").map(Number), across: Number(d.dataset.across), least: Number(d.dataset.least), half: Number(d.dataset.half) };
  };
  const groups = () => /** @type {SVGGElement[]} */ ([...main.querySelectorAll("#p-plan svg g")].filter((g) => /^row \d/.test(g.querySelector(":scope > title")?.textContent ?? "")));
  /** @param {SVGGElement} g the row's middle on the paper */
  const middle = (g) => {
    const b = /** @type {SVGRectElement} */ (g.querySelector("rect")).getBBox();
    return b.y + b.height / 2;
  };

  function tell() {
    const say = main.querySelector("[data-place]");
    if (say && say.textContent !== place) say.textContent = place;
  }

  function ready() {
    tell();
    const f = facts();
    const all = groups();
    if (!f || f.lines.length !== all.length) return;
    all.forEach((g, i) => {
      g.classList.add("grip");
      g.setAttribute("tabindex", "0");
      g.setAttribute("role", "slider");
      g.setAttribute("aria-orientation", "vertical");
      g.setAttribute("aria-label", `row ${i + 1}, millimetres from the wall beside row 1`);
      g.setAttribute("aria-valuemin", String(f.half));
      g.setAttribute("aria-valuemax", String(f.across - f.half));
      g.setAttribute("aria-valuenow", String(f.lines[i]));
    });
    if (focus >= 0 && all[focus] && !held) {
      all[focus].focus({ preventScroll: true });
      focus = -1;
    }
  }

  /** @param {SVGGElement} g @param {number} y client coordinate */
  function take(g, y) {
    const f = facts();
    const all = groups();
    const svg = g.ownerSVGElement;
    const m = svg?.getScreenCTM();
    if (!f || !svg || !m || all.length !== f.lines.length) return;
    const row = all.indexOf(g);
    const n = all.length - 1;
    // Paper mm for a mm of the lamp, from two rows or from the strip's width.
    const b = /** @type {SVGRectElement} */ (g.querySelector("rect")).getBBox();
    const k = n > 0 ? (middle(all[n]) - middle(all[0])) / (f.lines[n] - f.lines[0]) : b.height / (2 * f.half);
    held = { svg, row, lines: f.lines, from: f.lines[row], k: k * m.a, y0: y };
    document.getElementById("p-plan")?.setAttribute("data-held", "");
  }

  /** Moves the held row so far as its neighbours let it. @param {number} to mm */
  function move(to) {
    const f = facts();
    const h = held;
    if (!f || !h) return;
    const low = h.row > 0 ? h.lines[h.row - 1] + f.least : f.half;
    const high = h.row < h.lines.length - 1 ? h.lines[h.row + 1] - f.least : f.across - f.half;
    const y = Math.min(Math.floor(high / step) * step, Math.max(Math.ceil(low / step) * step, Math.round(to / step) * step));
    h.lines[h.row] = y;
    const g = groups()[h.row];
    const m = h.svg.getScreenCTM();
    if (g && m) g.setAttribute("transform", `translate(0 ${((y - h.from) * h.k) / m.a})`);
    g?.setAttribute("aria-valuenow", String(y));
    place = `row ${h.row + 1}: ${y} mm` + (y - low < step ? ", as near as it can lie" : high - y < step ? ", as far as it can lie" : "");
    tell();
    const field = /** @type {HTMLInputElement | null} */ (document.getElementById("i-row-lines"));
    if (!field) return;
    const text = h.lines.map((v) => String(Math.round(v * 1000) / 1000)).join(", ") + " mm";
    if (field.value === text) return;
    field.value = text;
    const pitch = /** @type {HTMLInputElement | null} */ (document.getElementById("i-row-pitch"));
    if (pitch) pitch.value = "";
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function drop() {
    if (!held) return;
    const p = document.getElementById("p-plan");
    p?.removeAttribute("data-held");
    p?.setAttribute("data-sum", ""); // send it again
    held = null;
    const field = document.getElementById("i-row-lines");
    field?.dispatchEvent(new Event("input", { bubbles: true }));
    field?.dispatchEvent(new Event("change", { bubbles: true }));
  }

  main.addEventListener("pointerdown", (e) => {
    const g = /** @type {SVGGElement | null} */ (/** @type {Element} */ (e.target).closest?.("g.grip"));
    if (!g || e.button) return;
    e.preventDefault();
    take(g, e.clientY);
    g.focus({ preventScroll: true });
    g.setPointerCapture(e.pointerId);
  });
  main.addEventListener("pointermove", (e) => {
    if (held && e.buttons) move(held.from + (e.clientY - held.y0) / held.k);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    main.addEventListener(end, () => {
      if (held) focus = held.row;
      drop();
    });
  }
  main.addEventListener("keydown", (e) => {
    const g = /** @type {SVGGElement | null} */ (/** @type {Element} */ (e.target).closest?.("g.grip"));
    const by = { ArrowUp: -step, ArrowDown: step }[e.key];
    if (!g || !by) return;
    e.preventDefault();
    if (!held) take(g, 0);
    if (!held) return;
    move(held.lines[held.row] + by * (e.shiftKey ? 10 : 1));
    window.clearTimeout(letGo);
    letGo = window.setTimeout(() => {
      if (held) focus = held.row;
      drop();
    }, 700);
  });
  main.addEventListener("blocks", ready);
  ready();
}
