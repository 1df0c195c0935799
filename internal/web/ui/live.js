// @ts-check
// A change is worked out in place: one request at a time, the newest wins. The
// words, the numbers and the pictures in view come first, then the others, then
// the uncertainty and the pictures that take long.
import { have, inView, swap } from "./swap.js";

// ms without a change before the others, and after them the uncertainty are
// asked for
const [soon, rest] = [100, 400];

/** @param {HTMLElement} main */
export function live(main) {
  const form = /** @type {HTMLFormElement} */ (document.getElementById("f"));
  const path = /** @type {string} */ (main.dataset.live);
  let wanted = ""; // the address to fetch next
  let ours = true; // it comes from a change, not from going back
  let busy = false;
  let timer = 0;
  let depth = 0; // steps that can be undone
  let fresh = true; // the next change begins a new step
  /** @type {AbortController | null} */
  let late = null;

  /** Asks for what the form now says. */
  function ask() {
    const q = new URLSearchParams();
    for (const [k, v] of new FormData(form)) if (k !== "as" && k !== "since") q.append(k, String(v));
    want(`${path}?${q}`);
  }

  /**
   * @param {string} url
   * @param {boolean} [change]
   */
  function want(url, change = true) {
    wanted = url;
    ours = change;
    window.clearTimeout(timer);
    late?.abort();
    if (!busy) void next();
  }

  async function next() {
    busy = true;
    const slow = window.setTimeout(() => main.classList.add("stale"), 150);
    while (wanted) {
      const url = wanted;
      wanted = "";
      try {
        await fetchBlocks(url, "now");
      } catch (e) {
        off(e);
      }
    }
    window.clearTimeout(slow);
    main.classList.remove("stale");
    busy = false;
    timer = window.setTimeout(() => void after("more"), soon);
  }

  /** Fetches what can wait. @param {"more" | "sure"} part */
  async function after(part) {
    late = new AbortController();
    const signal = late.signal;
    try {
      await fetchBlocks(location.pathname + location.search, part, signal);
    } catch (e) {
      if (!signal.aborted) off(e);
    }
    if (part === "more" && !signal.aborted) timer = window.setTimeout(() => void after("sure"), rest);
  }

  /**
   * @param {string} url
   * @param {"now" | "more" | "sure"} part
   * @param {AbortSignal} [signal]
   */
  async function fetchBlocks(url, part, signal) {
    const r = await fetch(url, { headers: { "X-Fragment": part, "X-Have": have(), "X-View": inView() }, signal });
    const html = await r.text();
    if (signal?.aborted || (part === "now" && wanted && !html.length)) return;
    if (!r.ok) throw new Error(html || r.statusText);
    swap(html);
    document.getElementById("offline")?.remove();
    const to = r.headers.get("X-Address");
    if (part === "now" && ours && !wanted && to && to !== location.pathname + location.search) {
      if (fresh) {
        history.pushState({ depth: ++depth }, "", to);
        fresh = false;
      } else {
        history.replaceState({ depth }, "", to);
      }
    }
    undoable();
    main.dispatchEvent(new CustomEvent("blocks"));
  }

  /** Says that the server did not answer; nothing typed is lost. @param {unknown} e */
  function off(e) {
    let p = document.getElementById("offline");
    if (!p) {
      p = document.createElement("p");
      p.id = "offline";
      p.className = "off";
      p.setAttribute("role", "alert");
      document.getElementById("say")?.after(p);
    }
    p.textContent = e instanceof TypeError
      ? "Dawnsmith does not answer: it may have been stopped. What you typed is still here; start it again and change anything to go on."
      : String(e instanceof Error ? e.message : e);
  }

  function undoable() {
    for (const b of document.querySelectorAll("[data-undo]")) b.toggleAttribute("hidden", depth < 1);
  }

  document.addEventListener("input", (e) => {
    const t = /** @type {HTMLInputElement} */ (e.target);
    if (t.form === form && t.name && t.name !== "as") ask();
  });
  document.addEventListener("change", (e) => {
    const t = /** @type {HTMLInputElement} */ (e.target);
    if (t.form === form || t.dataset.for) fresh = true;
  });
  form.addEventListener("submit", (e) => {
    if (e.submitter?.hasAttribute("formaction")) return; // saved as it stands
    e.preventDefault();
    if (document.activeElement?.id === "as") {
      form.requestSubmit(/** @type {HTMLElement} */ (document.querySelector("[formmethod=post]")));
      return;
    }
    ask();
  });
  document.addEventListener("click", (e) => {
    const t = /** @type {Element} */ (e.target);
    if (t.closest("[data-undo]")) history.back();
    const a = /** @type {HTMLAnchorElement | null} */ (t.closest("a[data-go]"));
    if (!a || e.ctrlKey || e.metaKey || e.shiftKey || e.button) return;
    e.preventDefault();
    fresh = true;
    want(a.href);
  });
  window.addEventListener("popstate", (e) => {
    depth = e.state?.depth ?? 0;
    fresh = true;
    /** @type {HTMLElement | null} */ (document.activeElement)?.blur();
    want(location.pathname + location.search, false);
  });
  history.replaceState({ depth }, "");
  timer = window.setTimeout(() => void after("sure"), 0);
}
