// @ts-check
/** Where a held lead can land: the ranked list's forms, met with their taps in the drawing. */

import { distance } from "./scene.js";

export const CATCH_PX = 36;
export const RELEASE_PX = 54;
export const TOUCH_PX = 24;
/** Bars stand closer than the release distance: the hand goes over to one that is nearer by this much. */
const CLEARLY_PX = 12;

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */
/** A place on the list, and the stretch of metal it stands for: a bar may be met anywhere along its length. */
/** @typedef {{form: HTMLFormElement, at: Point, top: number, bottom: number}} Target */

/** Every place the list offers: where its marks stand, else once for each of its equal terminals. @returns {Target[]} */
export function targets() {
  /** @type {Target[]} */
  const found = [];
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("#taps form[data-tap]"))) {
    const names = [form.dataset.tap ?? "", ...(form.dataset.same ?? "").split(" ").filter(Boolean)];
    const marks = names.map((name) => document.getElementById(name.replace(/^tap-/, "mark-"))).filter(Boolean);
    for (const element of marks.length ? marks : names.map((name) => document.getElementById(name))) {
      const at = place(element);
      if (at) found.push({ form, at, top: Number(element?.dataset.top ?? at.y), bottom: Number(element?.dataset.bottom ?? at.y) });
    }
  }
  return found;
}

/** Where a hand at a point of the screen meets a target. @param {WiringScene} scene @param {Target} target @param {Point} point @returns {Point} */
export function landing(scene, target, point) {
  const { y } = scene.toDrawing(point);
  return { x: target.at.x, y: Math.min(Math.max(y, target.top), target.bottom) };
}

/** The point an element of the drawing names in its data. @param {Element | null} element @returns {Point | null} */
export function place(element) {
  if (!(element instanceof SVGElement) || element.dataset.x === undefined) return null;
  return { x: Number(element.dataset.x), y: Number(element.dataset.y) };
}

/**
 * The target caught at a point of the screen: a caught one is kept until it is clearly left, or another is clearly nearer.
 * @param {WiringScene} scene @param {Target[]} among @param {Point} point @param {Target | null} caught
 * @returns {Target | null}
 */
export function caughtAt(scene, among, point, caught) {
  const gap = (/** @type {Target} */ target) => {
    const { x, y } = landing(scene, target, point);
    return distance(scene.toScreen(x, y), point);
  };
  const near = among.map((target) => ({ target, gap: gap(target) })).filter((one) => one.gap <= CATCH_PX);
  near.sort((a, b) => a.gap - b.gap);
  const kept = caught && among.includes(caught) ? gap(caught) : Infinity;
  if (kept <= RELEASE_PX && (!near.length || kept - near[0].gap < CLEARLY_PX)) return caught;
  return near[0]?.target ?? null;
}

/**
 * Elements of the drawing of one class under a touch, nearest first, whatever the zoom.
 * @param {WiringScene} scene @param {string} selector @param {Point} point @returns {SVGElement[]}
 */
export function under(scene, selector, point) {
  const found = [];
  for (const element of /** @type {NodeListOf<SVGElement>} */ (scene.querySelectorAll(selector))) {
    const gap = Math.min(...places(element).map((at) => distance(scene.toScreen(at.x, at.y), point)));
    if (gap <= TOUCH_PX) found.push({ element, gap });
  }
  return found.sort((a, b) => a.gap - b.gap).map((one) => one.element);
}

/** A grip's lead end, and its handle beside the plate. @param {SVGElement} element @returns {Point[]} */
function places(element) {
  const { handleX, handleY } = element.dataset;
  const handle = handleX === undefined ? null : { x: Number(handleX), y: Number(handleY) };
  return [place(element), handle].filter((at) => at !== null);
}
