// @ts-check
/**
 * The studs of one bar, fanned out beside it at the size of a finger: a hand that stays on a bar may choose its bolt.
 * The studs are those of the place's own list field; choosing one sets it, and the place's form is sent as ever.
 */

import { distance } from "./scene.js";

export const FAN_MS = 500;
const STILL_PX = 10;
const CELL_PX = 48;
const WIDE_PX = 172;
const GAP_PX = 40;

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */
/** @typedef {import("./targets.js").Target} Target */

export class StudFan {
  /** @type {HTMLElement | null} */
  box = null;
  /** @type {Target | null} */
  target = null;
  /** @type {Point} */
  stillAt = { x: 0, y: 0 };
  waiting = 0;

  /** @param {WiringScene} scene @param {() => void} opened */
  constructor(scene, opened) {
    this.scene = scene;
    this.opened = opened;
  }

  /** A hand is over a place, at a point of the screen: where it stays there, the studs come. @param {Target | null} target @param {Point} at */
  watch(target, at) {
    if (this.box) return;
    if (target && target === this.target && distance(at, this.stillAt) < STILL_PX) return;
    this.forget();
    if (!target || !list(target)) return;
    this.target = target;
    this.stillAt = at;
    this.waiting = setTimeout(() => this.open(target, at), FAN_MS);
  }

  /** The places have been answered anew: the fan is that of its bar as it is now. @param {Target[]} places */
  placesAre(places) {
    const tap = this.target?.form.dataset.tap;
    this.target = places.find(({ form }) => form.dataset.tap === tap) ?? null;
    if (!this.target) this.close();
  }

  /** No longer wait; what is open stays open. */
  forget() {
    clearTimeout(this.waiting);
    if (!this.box) this.target = null;
  }

  close() {
    this.box?.remove();
    this.box = null;
    this.forget();
  }

  /** @param {Target} target @param {Point} at */
  open(target, at) {
    const studs = list(target);
    if (!studs) return;
    this.box = document.createElement("div");
    this.box.className = "stud-fan";
    for (const { value, text } of studs.options) {
      const cell = document.createElement("span");
      cell.className = "stud";
      cell.dataset.stud = value;
      cell.textContent = text;
      this.box.append(cell);
    }
    this.place(this.box, studs.options.length, at);
    this.scene.append(this.box);
    this.opened();
  }

  /** Beside the hand, where there is room; in as many columns as it takes. @param {HTMLElement} box @param {number} count @param {Point} at */
  place(box, count, at) {
    const pane = this.scene.getBoundingClientRect();
    const most = Math.max(1, Math.floor(pane.height / CELL_PX) - 2);
    const columns = Math.ceil(count / most);
    const rows = Math.ceil(count / columns);
    const [width, height] = [columns * WIDE_PX, rows * CELL_PX];
    const right = at.x - pane.left + GAP_PX;
    const left = right + width <= pane.width ? right : Math.max(0, at.x - pane.left - GAP_PX - width);
    const top = Math.min(Math.max(0, at.y - pane.top - height / 2), Math.max(0, pane.height - height));
    Object.assign(box.style, {
      left: `${left}px`,
      top: `${top}px`,
      gridTemplateColumns: `repeat(${columns}, ${WIDE_PX}px)`,
      gridTemplateRows: `repeat(${rows}, ${CELL_PX}px)`,
    });
  }

  /** The stud at a point of the screen, marked; null where there is none. @param {Point} at @returns {HTMLElement | null} */
  at(at) {
    /** @type {HTMLElement | null} */
    let found = null;
    for (const cell of /** @type {NodeListOf<HTMLElement>} */ (this.box?.querySelectorAll(".stud") ?? [])) {
      const { left, right, top, bottom } = cell.getBoundingClientRect();
      const inside = at.x >= left && at.x < right && at.y >= top && at.y < bottom;
      cell.classList.toggle("stud-caught", inside);
      if (inside) found = cell;
    }
    return found;
  }

  /** Whether a point of the screen lies in the fan or between it and the bar. @param {Point} at */
  covers(at) {
    const box = this.box?.getBoundingClientRect();
    if (!box) return false;
    const reach = GAP_PX * 2;
    return at.x >= box.left - reach && at.x <= box.right + reach && at.y >= box.top - reach && at.y <= box.bottom + reach;
  }

  /** Put this stud into the place's own field. @param {HTMLElement} stud */
  choose(stud) {
    const studs = this.target ? list(this.target) : null;
    if (studs) studs.value = stud.dataset.stud ?? studs.value;
  }
}

/** The field that names a place's stud, where it has several and is not barred. @param {Target} target @returns {HTMLSelectElement | null} */
function list(target) {
  const field = target.form.elements.namedItem("to_terminal");
  return field instanceof HTMLSelectElement && !target.form.dataset.refused ? field : null;
}
