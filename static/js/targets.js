// @ts-check
/** Where a held lead can land: the ranked list's forms, met with their taps in the drawing. */

import { distance } from "./scene.js";

export const CATCH_PX = 36;
export const RELEASE_PX = 54;
export const TOUCH_PX = 24;

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */
/** @typedef {{form: HTMLFormElement, at: Point}} Target */

/** Every place the list offers, once for each of its equal terminals. @returns {Target[]} */
export function targets() {
  /** @type {Target[]} */
  const found = [];
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("#taps form[data-tap]"))) {
    const names = [form.dataset.tap ?? "", ...(form.dataset.same ?? "").split(" ").filter(Boolean)];
    for (const name of names) {
      const at = place(document.getElementById(name));
      if (at) found.push({ form, at });
    }
  }
  return found;
}

/** The point an element of the drawing names in its data. @param {Element | null} element @returns {Point | null} */
export function place(element) {
  if (!(element instanceof SVGElement) || element.dataset.x === undefined) return null;
  return { x: Number(element.dataset.x), y: Number(element.dataset.y) };
}

/**
 * The target caught at a point of the screen: a caught one is kept until it is clearly left.
 * @param {WiringScene} scene @param {Target[]} among @param {Point} point @param {Target | null} caught
 * @returns {Target | null}
 */
export function caughtAt(scene, among, point, caught) {
  const gap = (/** @type {Target} */ target) => distance(scene.toScreen(target.at.x, target.at.y), point);
  if (caught && gap(caught) <= RELEASE_PX && among.includes(caught)) return caught;
  const near = among.map((target) => ({ target, gap: gap(target) })).filter((one) => one.gap <= CATCH_PX);
  near.sort((a, b) => a.gap - b.gap);
  return near[0]?.target ?? null;
}

/**
 * Elements of the drawing of one class under a touch, nearest first, whatever the zoom.
 * @param {WiringScene} scene @param {string} selector @param {Point} point @returns {SVGElement[]}
 */
export function under(scene, selector, point) {
  const found = [];
  for (const element of /** @type {NodeListOf<SVGElement>} */ (scene.querySelectorAll(selector))) {
    const at = place(element);
    if (!at) continue;
    const gap = distance(scene.toScreen(at.x, at.y), point);
    if (gap <= TOUCH_PX) found.push({ element, gap });
  }
  return found.sort((a, b) => a.gap - b.gap).map((one) => one.element);
}
