// @ts-check
/** The free end of what is dragged: where it rides beside the hand, what it catches, and what the bar says of that. */

import { barAtBottom, say } from "./answer-bar.js";
import { EDGE_PX } from "./edge-pan.js";
import { caughtAt, landing } from "./targets.js";

const LIFT_PX = 64;
const LIFT_MS = 100;
const SETTLE_MS = 120;

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */
/** @typedef {import("./targets.js").Target} Target */
/** @typedef {import("./stud-fan.js").StudFan} StudFan */
/** @typedef {import("./held-lead.js").HeldLead} HeldLead */

export class CarriedEnd {
  /** @type {Target | null} */
  caught = null;
  /** @type {Point} */
  finger = { x: 0, y: 0 };
  isUnderFinger = false;
  since = 0;
  settling = 0;

  /** @param {WiringScene} scene @param {StudFan} fan */
  constructor(scene, fan) {
    this.scene = scene;
    this.fan = fan;
  }

  /** A hand takes hold. @param {string} pointerType @param {Point} at */
  takenBy(pointerType, at) {
    this.isUnderFinger = pointerType === "touch";
    this.since = performance.now();
    this.finger = at;
  }

  /** Where the end is on the screen: above a finger, at a mouse's tip. @returns {Point} */
  point() {
    if (!this.isUnderFinger) return this.finger;
    const frame = this.scene.getBoundingClientRect();
    const eased = Math.min(1, (performance.now() - this.since) / LIFT_MS);
    const below = this.finger.y - frame.top < LIFT_PX + EDGE_PX;
    return { x: this.finger.x, y: this.finger.y + (below ? LIFT_PX : -LIFT_PX) * eased };
  }

  /** Draw the end where the hand is now. @param {HeldLead} lead @param {Target[]} places */
  draw(lead, places) {
    const point = this.point();
    if (this.fan.box && this.fan.covers(point)) {
      this.overFan(lead, point);
      return;
    }
    this.fan.close();
    this.catch(caughtAt(this.scene, places, point, this.caught));
    this.fan.watch(this.caught, point);
    const met = this.caught ? landing(this.scene, this.caught, point) : null;
    lead.moveTo(met ?? this.scene.toDrawing(point));
    lead.ringAt(met);
    const frame = this.scene.getBoundingClientRect();
    barAtBottom(this.finger.y < frame.top + frame.height / 2);
  }

  /** @param {Target | null} caught */
  catch(caught) {
    if (caught === this.caught) return;
    this.caught = caught;
    this.unsettle();
    if (caught) this.settling = setTimeout(() => this.scene.setAttribute("data-settled", ""), SETTLE_MS);
    this.announce();
  }

  /** The places have been answered, or answered anew: what is caught stays caught. @param {Target[]} places */
  placesAre(places) {
    const tap = this.caught?.form.dataset.tap;
    this.caught = places.find(({ form }) => form.dataset.tap === tap) ?? null;
    this.fan.placesAre(places);
    if (!this.caught) this.unsettle();
    this.announce();
  }

  /** Among the studs that are fanned out, or still on their bar. @param {HeldLead} lead @param {Point} point */
  overFan(lead, point) {
    const stud = this.fan.at(point);
    const bar = stud ? null : this.barOfFan(point);
    const met = bar && landing(this.scene, bar, point);
    lead.moveTo(met ?? this.scene.toDrawing(point));
    lead.ringAt(met);
    if (stud) say(this.fan.target?.form.dataset.line1 ?? "", stud.textContent ?? "");
    else if (bar) this.announce();
  }

  /** The bar whose studs are fanned out, where a point of the screen is still on it. @param {Point} point @returns {Target | null} */
  barOfFan(point) {
    const bar = this.fan.target;
    return bar && caughtAt(this.scene, [bar], point, bar);
  }

  /** What the caught place would bring, else what is carried. */
  announce() {
    const from = this.caught ? this.caught.form : document.getElementById("taps");
    say(from?.dataset.line1 ?? "", this.caught?.form.dataset.refused || (from?.dataset.line2 ?? ""));
  }

  /** The place that a release now would put it down on. @returns {Target | null} */
  settledOn() {
    return this.scene.hasAttribute("data-settled") ? this.caught : null;
  }

  /** Nothing is caught any more. */
  forget() {
    this.caught = null;
    this.unsettle();
  }

  unsettle() {
    clearTimeout(this.settling);
    this.scene.removeAttribute("data-settled");
  }
}
