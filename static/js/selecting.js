// @ts-check
/** Touching the picture with nothing in the hand: a load or a thing is selected, a cable's other end is named, a narrow picture is turned. */

import { submit } from "./answer-bar.js";
import { turnTo } from "./shape.js";
import { nameOf, thingAt } from "./touched.js";

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */

/** Whether the picture shows the boat before the last change, where nothing can be taken in the hand. @param {WiringScene} scene */
export function looksBack(scene) {
  return scene.querySelector("[data-before]") !== null;
}

/** The terminal that a cable is being put in from; empty while none is. */
export function wiresFrom() {
  return document.getElementById("thing")?.dataset.wiresFrom ?? "";
}

/**
 * Answer a touch at a point of the screen, or a key, on something of the picture.
 * @param {WiringScene} scene @param {Element | null} touched @param {Point} [at]
 */
export function choose(scene, touched, at) {
  if (looksBack(scene)) return;
  const turn = touched?.closest(".turn");
  if (turn instanceof SVGElement) turnTo(turn.dataset.side ?? "");
  const rung = touched?.closest(".rung, .fold");
  const keyed = touched?.closest("[data-thing]");
  const thing = at ? thingAt(scene, at) : keyed ? nameOf(keyed) : "";
  if (wiresFrom()) wireTo((rung instanceof SVGElement ? rung.dataset.part : "") || thing);
  else if (rung instanceof SVGElement && rung.dataset.part) select(scene, rung);
  else if (thing) submit("select-load", { selected: thing });
}

/** A cable's other end goes there. @param {string} thing */
export function wireTo(thing) {
  if (thing) submit("touch-there", { selected: wiresFrom(), to: thing });
}

/** Select a load; one that is selected already shows the way to its leads. @param {WiringScene} scene @param {SVGElement} rung */
function select(scene, rung) {
  if (!rung.matches(".selected")) {
    submit("select-load", { selected: rung.dataset.part ?? "" });
    return;
  }
  const grip = scene.querySelector(".grip");
  if (grip instanceof SVGElement) grip.focus();
}
