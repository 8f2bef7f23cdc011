// @ts-check
/** Touching the picture with nothing in the hand: a load is selected, a narrow picture is turned. */

import { submit } from "./answer-bar.js";
import { turnTo } from "./shape.js";

/** @typedef {import("./scene.js").WiringScene} WiringScene */

/** Whether the picture shows the boat before the last change, where nothing can be taken in the hand. @param {WiringScene} scene */
export function looksBack(scene) {
  return scene.querySelector("[data-before]") !== null;
}

/** Answer a touch, or a key, on something of the picture. @param {WiringScene} scene @param {Element | null} touched */
export function choose(scene, touched) {
  if (looksBack(scene)) return;
  const turn = touched?.closest(".turn");
  if (turn instanceof SVGElement) turnTo(turn.dataset.side ?? "");
  const rung = touched?.closest(".rung, .fold");
  if (rung instanceof SVGElement) select(scene, rung);
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
