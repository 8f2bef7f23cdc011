// @ts-check
/**
 * The list of places is ranked anew once, when the event in time has been followed with the lead at each of them:
 * never under a finger that presses in the list, and never while the studs of a bar are fanned out or unfolded.
 * The answer is then left, and asked for again when the finger has gone; the server still knows it.
 */

/** @type {Element | null} */
let pressed = null;

document.addEventListener("pointerdown", (event) => {
  pressed = event.target instanceof Element ? event.target.closest("#taps") : null;
});

for (const end of ["pointerup", "pointercancel"]) {
  document.addEventListener(end, () => {
    pressed = null;
    setTimeout(again); // after the click that the press may have been
  });
}

document.addEventListener("toggle", again, { capture: true });

document.addEventListener("htmx:beforeSwap", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  const asker = detail.requestConfig.elt;
  if (asker.id !== "taps-basis" || !isBusy()) return;
  detail.shouldSwap = false;
  asker.setAttribute("data-left", "");
});

/** Whether a finger is on the list, or chooses a stud. */
function isBusy() {
  return pressed !== null || document.querySelector(".stud-fan, #taps .tap-studs[open]") !== null;
}

/** Ask again for an answer that was left. */
function again() {
  const asker = document.querySelector("#taps-basis[data-left]");
  if (asker === null || isBusy()) return;
  asker.removeAttribute("data-left");
  asker.dispatchEvent(new CustomEvent("again"));
}
