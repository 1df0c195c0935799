// @ts-check
// Blocks are elements with an id and the sum of their content (data-sum). The
// server sends those whose sums differ; here they take the old ones' places.

/**
 * The blocks that the page has, as the server wants to hear of them.
 * @returns {string}
 */
export function have() {
  const out = [];
  for (const b of document.querySelectorAll("[data-sum]")) out.push(`${b.id}=${b.getAttribute("data-sum")}`);
  return out.join(" ");
}

/**
 * The blocks that can be seen. Only sections in view are looked into, since
 * the browser leaves the others unmeasured.
 * @returns {string}
 */
export function inView() {
  /** @param {Element} e */
  const seen = (e) => {
    const r = e.getBoundingClientRect();
    return r.bottom > 0 && r.top < innerHeight;
  };
  const out = [];
  for (const s of document.querySelectorAll("main > section")) {
    if (!seen(s)) continue;
    for (const p of s.querySelectorAll("[data-sum]")) if (seen(p)) out.push(p.id);
  }
  return out.join(" ");
}

/**
 * Puts blocks in place of those with the same ids.
 * @param {string} html
 */
export function swap(html) {
  const t = document.createElement("template");
  t.innerHTML = html;
  for (const fresh of [...t.content.children]) {
    const old = document.getElementById(fresh.id);
    if (!old || old.hasAttribute("data-held")) continue;
    const at = document.activeElement;
    if (at && at !== document.body && old.contains(at)) {
      keep(old, fresh, /** @type {HTMLElement} */ (at));
      continue;
    }
    carry(old, fresh);
    old.replaceWith(fresh);
  }
}

/**
 * A block in which somebody is at work keeps its inputs; the words around them
 * and the bounds change. Links and summaries are put back into focus.
 * @param {Element} old
 * @param {Element} fresh
 * @param {HTMLElement} at
 */
function keep(old, fresh, at) {
  if (at.matches("input, select, textarea")) {
    for (const e of old.querySelectorAll(".err, .hint")) {
      const f = fresh.querySelector("#" + CSS.escape(e.id));
      if (f) e.innerHTML = f.innerHTML;
    }
    for (const r of old.querySelectorAll("input")) {
      const f = /** @type {HTMLInputElement | null} */ (twin(fresh, r));
      if (!f) continue;
      if (r.type === "range") [r.min, r.max, r.step] = [f.min, f.max, f.step];
      if (r !== at && r.type === "hidden") r.value = f.value;
      if (r !== at && r.type === "range") r.value = f.value;
      if (r !== at && r.type === "" + f.type && at.dataset.for === r.id) continue;
      r.toggleAttribute("aria-invalid", f.hasAttribute("aria-invalid"));
    }
    const box = old.querySelector(".field"), fbox = fresh.querySelector(".field");
    if (box && fbox) box.className = fbox.className;
    old.setAttribute("data-sum", fresh.getAttribute("data-sum") || "");
    return;
  }
  const again = at.id ? "#" + CSS.escape(at.id) : at.matches("summary") && at.parentElement?.id ? `#${CSS.escape(at.parentElement.id)} > summary` : "";
  carry(old, fresh);
  old.replaceWith(fresh);
  const e = again ? /** @type {HTMLElement | null} */ (fresh.querySelector(again)) : null;
  if (e) {
    e.focus({ preventScroll: true });
  } else {
    // What had the focus is gone: go on from where it was.
    const b = /** @type {HTMLElement} */ (fresh);
    b.tabIndex = -1;
    b.focus({ preventScroll: true });
  }
}

/**
 * The input of a fresh block that stands for one of the old.
 * @param {Element} fresh
 * @param {HTMLInputElement} r
 */
function twin(fresh, r) {
  if (r.id) return fresh.querySelector("#" + CSS.escape(r.id));
  if (r.dataset.for) return fresh.querySelector(`[data-for="${CSS.escape(r.dataset.for)}"]`);
  return r.name ? fresh.querySelector(`[name="${CSS.escape(r.name)}"]`) : null;
}

/**
 * What was opened stays open.
 * @param {Element} old
 * @param {Element} fresh
 */
function carry(old, fresh) {
  for (const d of old.querySelectorAll("details[id]")) {
    const f = fresh.querySelector("#" + CSS.escape(d.id));
    if (f) f.toggleAttribute("open", d.hasAttribute("open"));
  }
}
