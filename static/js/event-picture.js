// @ts-check
/**
 * The picture at the instant of the chart's cursor. Pressed once, the button makes the picture follow the cursor;
 * pressed again, or with a lead in the hand, it shows the whole event. The form asks for one picture at a time.
 */

import { submit } from "./answer-bar.js";
import { WiringScene } from "./scene.js";

/** Whether the picture follows the cursor; it goes on when another strip takes the place of this one. */
let follows = false;

/** Whether the picture on the page is that of an instant, which stands in a smaller pane. */
let isInstant = false;

/** @returns {HTMLElement | null} */
function button() {
  return document.getElementById("event-in-picture");
}

/** @param {boolean} wanted */
function follow(wanted) {
  follows = wanted;
  button()?.setAttribute("aria-pressed", String(wanted));
  if (wanted) ask();
  else submit("event-whole", {});
}

/** Ask for the picture of the instant that is typed, else of the slider's. */
function ask() {
  const form = document.getElementById("event-form");
  if (!(form instanceof HTMLFormElement)) return;
  const fields = new FormData(form);
  submit("event-picture", { at: String(fields.get("at") ?? ""), t: String(fields.get("t") ?? "") });
}

document.addEventListener("instant", () => follows && ask());

document.addEventListener(
  "click",
  (event) => {
    if (!(event.target instanceof Element) || !event.target.closest("#event-in-picture")) return;
    event.preventDefault();
    follow(!follows);
  },
  true,
);

/** The pane has become smaller or larger: what the eye looked for is still in it, and the chart below it. */
function lookAgain() {
  const now = document.querySelector("#diagram-place[data-instant]") !== null;
  const scene = document.getElementById("scene");
  if (now !== isInstant && scene instanceof WiringScene) scene.lookAt(scene.focused());
  if (now && !isInstant) document.querySelector("event-cursor")?.scrollIntoView({ block: "start" });
  isInstant = now;
}

document.addEventListener("htmx:afterSettle", (event) => {
  const { target } = /** @type {CustomEvent} */ (event).detail;
  lookAgain();
  if (document.querySelector("#taps[data-part]:not([data-part=''])")) {
    if (follows) follow(false);
  } else if (target?.id === "event-strip" && follows) {
    follow(true);
  }
});
