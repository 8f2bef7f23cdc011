// @ts-check
/** What a touch of the picture means where it meets no load's plate: the nearest part, battery, bar or conductor. */

import { under } from "./targets.js";

/** How far around a finger is looked, ring by ring, as thin lines are hard to hit. */
const RINGS_PX = [0, 8, 16, 24];
const DIRECTIONS = 8;
/** What lies nearest counts; at the same distance a part comes before a bar, and a bar before a conductor. */
const KINDS = [".part", ".battery", ".bar", ".conductor"];

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
  for (const ring of RINGS_PX) {
    const found = around(at, ring).flatMap((point) => things(scene, point));
    for (const kind of KINDS) {
      const first = found.find((element) => element.matches(kind));
      if (first) return first;
    }
  }
  return null;
}

/** @param {Point} at @param {number} ring @returns {Point[]} */
function around(at, ring) {
  if (!ring) return [at];
  return Array.from({ length: DIRECTIONS }, (_, n) => {
    const turn = (2 * Math.PI * n) / DIRECTIONS;
    return { x: at.x + ring * Math.cos(turn), y: at.y + ring * Math.sin(turn) };
  });
}

/** @param {WiringScene} scene @param {Point} at @returns {Element[]} */
function things(scene, { x, y }) {
  const met = document.elementsFromPoint(x, y).map((element) => element.closest("[data-thing]"));
  return /** @type {Element[]} */ (met.filter((element) => element !== null && scene.contains(element)));
}

/** The terminal of a bar or battery that a finger is on. @param {WiringScene} scene @param {string} part @param {Point} at */
function terminalAt(scene, part, at) {
  const tap = under(scene, `.tap[data-part="${part}"]`, at)[0];
  return tap ? `${part}.${tap.dataset.terminal}` : undefined;
}
