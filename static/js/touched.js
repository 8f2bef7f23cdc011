// @ts-check
/** What a touch of the picture means where it meets no load's plate: the nearest part, battery, bar or conductor. */

import { distance } from "./scene.js";
import { TOUCH_PX, under } from "./targets.js";

/** A part that is as near as the conductor it sits on comes first. */
const PREFERRED_PX = 1;
const SAMPLE_PX = 3;

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */

/** The name of what is at a point of the screen: a part, one of its terminals, or a conductor; empty for nothing. @param {WiringScene} scene @param {Point} at */
export function thingAt(scene, at) {
  const element = nearest(scene, at);
  if (!element) return "";
  const name = nameOf(element);
  return name.includes(".") || element.matches(".conductor") ? name : (terminalAt(scene, name, at) ?? name);
}

/** What an element of the picture stands for. @param {Element} element */
export function nameOf(element) {
  return element.getAttribute("data-thing")?.split(" ")[0] ?? "";
}

/** @param {WiringScene} scene @param {Point} at @returns {Element | null} */
function nearest(scene, at) {
  let [best, least] = [/** @type {Element | null} */ (null), TOUCH_PX];
  for (const element of scene.querySelectorAll("[data-thing]")) {
    const away = gap(element, at) - (element.matches(".part") ? PREFERRED_PX : 0);
    if (away < least) [best, least] = [element, away];
  }
  return best;
}

/** How far a point of the screen is from what is drawn. @param {Element} element @param {Point} at */
function gap(element, at) {
  const box = (element.querySelector(".bar-metal") ?? element).getBoundingClientRect();
  const across = Math.max(box.left - at.x, at.x - box.right, 0);
  const along = Math.max(box.top - at.y, at.y - box.bottom, 0);
  const away = Math.hypot(across, along);
  return away > TOUCH_PX || !(element instanceof SVGGeometryElement) ? away : gapToLine(element, at);
}

/** How far it is from a conductor's line, which turns corners and hops. @param {SVGGeometryElement} line @param {Point} at */
function gapToLine(line, at) {
  const matrix = line.getScreenCTM();
  if (!matrix) return Infinity;
  const [whole, step] = [line.getTotalLength(), SAMPLE_PX / matrix.a];
  let least = Infinity;
  for (let length = 0; length <= whole + step; length += step) {
    least = Math.min(least, distance(line.getPointAtLength(length).matrixTransform(matrix), at));
  }
  return least;
}

/** The terminal of a bar or battery that a finger is on. @param {WiringScene} scene @param {string} part @param {Point} at */
function terminalAt(scene, part, at) {
  const tap = under(scene, `.tap[data-part="${part}"]`, at)[0];
  return tap ? `${part}.${tap.dataset.terminal}` : undefined;
}
