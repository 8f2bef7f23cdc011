// @ts-check
/**
 * A picture to be looked at only: a touch, or a key, selects a load so that its way is lit, or turns a narrow picture
 * to its other side. Nothing can be picked up.
 */

import { submit } from "./answer-bar.js";

const STILL_PX = 8;

/** Where the pointer went down. @type {{x: number, y: number} | null} */
let down = null;

/** @param {Element | null | undefined} touched */
function choose(touched) {
  if (document.querySelector("#diagram-place[data-before]")) return;
  const rung = touched?.closest("#diagram .rung, #diagram .fold");
  if (touched?.closest("#diagram .turn")) document.getElementById("turn-side")?.click();
  else if (rung instanceof SVGElement && rung.dataset.part) select(rung.dataset.part);
}

/** Light a load's way, in this picture and in the one that is held before. @param {string} part */
function select(part) {
  const field = document.querySelector("#look-back [name='selected']");
  if (field instanceof HTMLInputElement) field.value = part;
  submit("look-at", { selected: part });
}

document.addEventListener("pointerdown", (event) => {
  const isInPicture = event.target instanceof Element && event.target.closest("#scene");
  down = isInPicture && event.isPrimary ? { x: event.clientX, y: event.clientY } : null;
});

document.addEventListener("pointerup", (event) => {
  if (!down || !event.isPrimary) return;
  const moved = Math.hypot(event.clientX - down.x, event.clientY - down.y);
  down = null;
  if (moved < STILL_PX) choose(document.elementFromPoint(event.clientX, event.clientY));
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" && event.key !== " ") return;
  if (!(event.target instanceof SVGElement) || !event.target.closest("#diagram")) return;
  event.preventDefault();
  choose(event.target);
});
