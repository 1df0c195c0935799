// @ts-check
// Pointing at a curve, or going along it with the arrow keys, tells its values.

/** @typedef {{svg: SVGSVGElement, box: number[], x: Scale, y: Scale, series: Series[]}} Chart */
/** @typedef {{log: boolean, lo: number, hi: number, name: string, unit: string}} Scale */
/** @typedef {{name: string, points: number[][]}} Series */

/** @type {WeakMap<SVGSVGElement, Chart | null>} */
const charts = new WeakMap();
let tip = /** @type {HTMLElement | null} */ (null);

/** @param {HTMLElement} main */
export function hover(main) {
  main.addEventListener("pointermove", (e) => {
    const svg = /** @type {Element} */ (e.target).closest?.("svg.drawing");
    const c = svg && chart(/** @type {SVGSVGElement} */ (svg));
    if (!c) return hide();
    const m = c.svg.getScreenCTM();
    if (m) show(c, (e.clientX - m.e) / m.a, e.clientX, e.clientY);
  });
  main.addEventListener("pointerleave", hide);
  main.addEventListener("keydown", (e) => {
    const svg = /** @type {Element} */ (e.target).closest?.("svg.drawing");
    const c = svg && chart(/** @type {SVGSVGElement} */ (svg));
    if (!c || !["ArrowLeft", "ArrowRight", "Home", "End", "Escape"].includes(e.key)) return;
    if (e.key === "Escape") return hide();
    e.preventDefault();
    const [x0, , w] = c.box, step = w / (e.shiftKey ? 20 : 100);
    let x = Number(c.svg.dataset.at ?? x0);
    x = { ArrowLeft: x - step, ArrowRight: x + step, Home: x0, End: x0 + w }[e.key] ?? x;
    x = Math.min(x0 + w, Math.max(x0, x));
    c.svg.dataset.at = String(x);
    const r = c.svg.getBoundingClientRect(), k = r.width / c.svg.viewBox.baseVal.width;
    show(c, x, r.left + x * k, r.top + (c.box[1] + 4) * k);
  });
  main.addEventListener("focusout", hide);
  const ready = () => {
    for (const s of main.querySelectorAll("svg.drawing")) {
      if (!s.hasAttribute("tabindex") && chart(/** @type {SVGSVGElement} */ (s))) s.setAttribute("tabindex", "0");
    }
  };
  main.addEventListener("blocks", ready);
  ready();
}

/** Reads a chart's scales and curves. @param {SVGSVGElement} svg @returns {Chart | null} */
function chart(svg) {
  const known = charts.get(svg);
  if (known !== undefined) return known;
  const axes = /** @type {SVGElement | null} */ (svg.querySelector("[data-plot]"));
  const curves = [...svg.querySelectorAll("[data-series]")];
  /** @type {Chart | null} */
  let c = null;
  if (axes && curves.length && axes.dataset.xName !== undefined) {
    const d = axes.dataset;
    /** @param {"x" | "y"} a @returns {Scale} */
    const scale = (a) => ({ log: d[`${a}Scale`] === "log", lo: Number(d[`${a}Min`]), hi: Number(d[`${a}Max`]), name: d[`${a}Name`] ?? "", unit: d[`${a}Unit`] ?? "" });
    const series = curves.map((g) => ({
      name: /** @type {SVGElement} */ (g).dataset.series ?? "",
      points: [...g.querySelectorAll("polyline")].flatMap((p) => (p.getAttribute("points") ?? "").split(" ").map((q) => q.split(",").map(Number))),
    })).filter((s) => s.points.length);
    if (series.length) c = { svg, box: (d.plot ?? "").split(" ").map(Number), x: scale("x"), y: scale("y"), series };
  }
  charts.set(svg, c);
  return c;
}

/** @param {Scale} s @param {number} f the place on the axis, 0 to 1 */
function value(s, f) {
  return s.log ? s.lo * (s.hi / s.lo) ** f : s.lo + f * (s.hi - s.lo);
}

/** @param {number} v */
function text(v) {
  const n = Number(v.toPrecision(3));
  return Math.abs(n) >= 10000 ? n.toLocaleString("en", { maximumFractionDigits: 0 }).replaceAll(",", "\u202f") : String(n).replace("-", "−");
}

/** @param {Chart} c @param {number} x in the drawing @param {number} px @param {number} py on the screen */
function show(c, x, px, py) {
  const [x0, y0, w, h] = c.box;
  if (x < x0 || x > x0 + w) return hide();
  const lines = c.series.map((s) => {
    const p = s.points.reduce((a, b) => (Math.abs(b[0] - x) < Math.abs(a[0] - x) ? b : a));
    return `${c.series.length > 1 ? s.name + ": " : ""}${text(value(c.y, (y0 + h - p[1]) / h))} ${c.y.unit}`;
  });
  if (!tip) {
    tip = document.createElement("div");
    tip.className = "tip";
    tip.setAttribute("role", "status");
    document.body.append(tip);
  }
  tip.hidden = false;
  tip.textContent = `${text(value(c.x, (x - x0) / w))} ${c.x.unit} · ${lines.join(" · ")}`;
  tip.style.left = `${Math.min(px + 12, innerWidth - tip.offsetWidth - 8)}px`;
  tip.style.top = `${Math.max(4, py - 34)}px`;
}

function hide() {
  if (tip) tip.hidden = true;
}
