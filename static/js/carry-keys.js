// @ts-check
/**
 * Carrying from the keyboard: up and down walk loads and their grips, left and right walk batteries, bars and parts,
 * Enter selects or picks up, Escape puts back.
 */

import { choose, looksBack } from "./selecting.js";

const STOPS = ".rung, .fold, .grip, .turn";
const THINGS = ".battery, .bar, .part";

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./carrier.js").Carrier} Carrier */

/** @param {WiringScene} scene @param {Carrier} carrier */
export function listenToKeys(scene, carrier) {
  scene.addEventListener("keydown", (event) => inPicture(event, scene, carrier));
  document.addEventListener("keydown", (event) => escape(event, carrier));
}

/** @param {KeyboardEvent} event @param {WiringScene} scene @param {Carrier} carrier */
function inPicture(event, scene, carrier) {
  const here = event.target instanceof SVGElement ? event.target.closest(`${STOPS}, ${THINGS}`) : null;
  if (!(here instanceof SVGElement)) return;
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const aside = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    if (!here.matches(".grip")) choose(scene, here);
    else if (!looksBack(scene)) carrier.pickUp(here, false);
  } else if (step || aside) {
    event.preventDefault();
    walk(scene, here, step ? STOPS : THINGS, step ?? aside ?? 0);
  }
}

/** To the next of its kind, or into the other kind at its beginning. @param {WiringScene} scene @param {SVGElement} here @param {string} among @param {number} step */
function walk(scene, here, among, step) {
  const order = /** @type {SVGElement[]} */ ([...scene.querySelectorAll(among)]);
  const next = here.matches(among) ? order[order.indexOf(here) + step] : order[0];
  if (!next) return;
  here.setAttribute("tabindex", "-1");
  next.setAttribute("tabindex", "0");
  next.focus({ preventScroll: true });
  if (!scene.inSight(next)) scene.lookAt(next);
}

/** @param {KeyboardEvent} event @param {Carrier} carrier */
function escape(event, carrier) {
  if (event.key !== "Escape" || !carrier.hand) return;
  event.preventDefault();
  if (carrier.fan.box) carrier.fan.close();
  else if (carrier.isDragging) carrier.hold();
  else carrier.putBack("Put back where it was.");
}
