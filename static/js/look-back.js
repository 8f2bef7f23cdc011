// @ts-check
/**
 * The boat before the last change: held down, the button shows it for as long as the finger stays;
 * pressed once, until it is pressed again. The button is never swapped: only the picture is.
 */

import { submit } from "./answer-bar.js";

const HELD_MS = 350;

/** When the button went down, by the event's own clock; 0 while it is up. */
let down = 0;
/** Whether a release must not count as a press of its own. */
let done = false;

/** @param {Event} event @returns {HTMLElement | null} */
function button(event) {
  return event.target instanceof Element ? event.target.closest("#show-before") : null;
}

/** @param {HTMLElement} pressed @param {boolean} back */
function look(pressed, back) {
  if (isBack(pressed) === back) return;
  pressed.setAttribute("aria-pressed", String(back));
  submit("look-back", { show: back ? "before" : "after" });
}

/** @param {HTMLElement} pressed */
function isBack(pressed) {
  return pressed.getAttribute("aria-pressed") === "true";
}

document.addEventListener("pointerdown", (event) => {
  const pressed = button(event);
  if (!pressed || event.button !== 0) return;
  pressed.setPointerCapture(event.pointerId);
  done = !isBack(pressed);
  down = event.timeStamp;
  look(pressed, true);
});

for (const kind of ["pointerup", "pointercancel"]) {
  document.addEventListener(kind, (event) => {
    const pressed = document.getElementById("show-before");
    if (!down || !pressed) return;
    if (event.timeStamp - down >= HELD_MS) {
      done = true;
      look(pressed, false);
    }
    down = 0;
  });
}

/** A press that a pointer has answered already is over; keys and a second press turn it round. */
document.addEventListener(
  "click",
  (event) => {
    const pressed = button(event);
    if (!pressed) return;
    event.preventDefault();
    if (!done) look(pressed, !isBack(pressed));
    done = false;
  },
  true,
);

/** A long press is ours, not the browser's menu. */
document.addEventListener("contextmenu", (event) => {
  if (button(event)) event.preventDefault();
});

/** A lead in the hand is a lead of the boat as it is now. */
document.addEventListener("htmx:afterSettle", () => {
  const pressed = document.getElementById("show-before");
  const held = document.querySelector("#taps[data-part]:not([data-part=''])");
  if (pressed && held) look(pressed, false);
});
