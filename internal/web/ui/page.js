// @ts-check
// The page works without this. Here it is made quicker: changes are worked out
// in place, steps can be undone, pictures tell their values.
import { live } from "./live.js";
import { sliders } from "./slider.js";
import { hover } from "./hover.js";
import { hunt } from "./hunt.js";
import { drop } from "./drop.js";
import { layout } from "./layout.js";

document.documentElement.classList.add("live");
const main = /** @type {HTMLElement} */ (document.querySelector("main"));
if (main.dataset.live) {
  sliders(main);
  live(main);
  layout(main);
}
if (main.dataset.hunt) hunt(main.dataset.hunt);
if ("drop" in main.dataset) drop(main);
hover(main);
