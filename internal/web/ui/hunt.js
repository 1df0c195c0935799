// @ts-check
// How far a search is. Without this the page asks again every two seconds.

/** @param {string} url */
export function hunt(url) {
  const bar = /** @type {HTMLProgressElement} */ (document.getElementById("bar"));
  const done = /** @type {HTMLElement} */ (document.getElementById("done"));
  const events = new EventSource(url);
  events.onmessage = (e) => {
    const [did, of] = e.data.split(" ").map(Number);
    if (!of) return;
    bar.max = of;
    bar.value = did;
    done.textContent = did < of ? `${Math.floor((100 * did) / of)} %` : "the best are worked out";
  };
  events.addEventListener("over", () => {
    events.close();
    location.reload();
  });
}
