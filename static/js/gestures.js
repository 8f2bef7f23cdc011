// @ts-check
/** Fingers and mouse on the picture: one pans or, from a grip, carries; two zoom; a touch takes up, puts down or selects. */

import { say } from "./answer-bar.js";
import { EdgePan } from "./edge-pan.js";
import { distance } from "./scene.js";
import { choose, looksBack } from "./selecting.js";
import { caughtAt, landing, under } from "./targets.js";
import { Wiring } from "./wiring.js";

const START_PX = 8;

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */
/** @typedef {import("./carrier.js").Carrier} Carrier */
/**
 * @typedef {object} Press
 * @property {number} pointer
 * @property {string} type
 * @property {Point} at
 * @property {SVGElement | null} grip
 * @property {boolean} moved
 * @property {boolean} fanned
 * @property {boolean} wires from the mark of a cable that is being put in
 */

export class Gestures {
  /** @type {Press | null} */
  press = null;

  /** @param {WiringScene} scene @param {Carrier} carrier */
  constructor(scene, carrier) {
    this.scene = scene;
    this.carrier = carrier;
    this.wiring = new Wiring(scene);
    const { end } = carrier;
    this.edge = new EdgePan(scene, () => (carrier.isDragging && !end.caught ? end.finger : null));
    scene.addEventListener("pointerdown", (event) => this.down(event));
    scene.addEventListener("pointermove", (event) => this.move(event));
    scene.addEventListener("pointerup", (event) => this.up(event));
    scene.addEventListener("pointercancel", (event) => this.cancel(event));
    scene.addEventListener("click", (event) => swallow(event), true);
  }

  /** @param {PointerEvent} event */
  down(event) {
    const { scene, carrier } = this;
    const at = { x: event.clientX, y: event.clientY };
    scene.pointers.set(event.pointerId, at);
    if (event.pointerType === "mouse" && event.button !== 0) return;
    scene.setPointerCapture(event.pointerId);
    if (scene.pointers.size > 1) {
      if (carrier.isDragging) carrier.hold();
      this.wiring.forget();
      this.press = null;
      return;
    }
    const grip = carrier.hand || looksBack(scene) ? null : gripAt(scene, at);
    const wires = !carrier.hand && this.wiring.isOn(at);
    this.press = { pointer: event.pointerId, type: event.pointerType, at, grip, moved: false, fanned: false, wires };
    if (carrier.hand) carrier.fan.watch(caughtAt(scene, carrier.places, at, null), at);
  }

  /** @param {PointerEvent} event */
  move(event) {
    const { scene, carrier, press } = this;
    if (press?.pointer !== event.pointerId) {
      if (scene.pointers.size > 1) scene.follow(event);
      return;
    }
    const at = { x: event.clientX, y: event.clientY };
    if (!press.moved && distance(at, press.at) < START_PX) return;
    if (!press.moved) this.begin(press, at);
    if (press.wires) {
      this.wiring.move(at);
      return;
    }
    if (!carrier.isDragging) {
      scene.follow(event);
      return;
    }
    carrier.end.finger = at;
    scene.pointers.set(event.pointerId, at);
    carrier.redraw();
    this.edge.watch();
  }

  /** A press has become a movement. @param {Press} press @param {Point} at */
  begin(press, at) {
    press.moved = true;
    this.carrier.fan.forget();
    if (press.wires) this.wiring.begin();
    if (!press.grip || press.wires) return;
    this.carrier.end.takenBy(press.type, at);
    this.carrier.pickUp(press.grip, true);
  }

  /** @param {PointerEvent} event */
  up(event) {
    this.scene.pointers.delete(event.pointerId);
    const press = this.press;
    if (press?.pointer !== event.pointerId) return;
    this.press = null;
    this.carrier.fan.forget();
    if (press.wires && press.moved) this.wiring.end({ x: event.clientX, y: event.clientY });
    else if (this.carrier.isDragging) this.carrier.release();
    else if (!press.moved) this.touch(press);
  }

  /** @param {PointerEvent} event */
  cancel(event) {
    this.scene.pointers.delete(event.pointerId);
    if (this.press?.pointer === event.pointerId) this.press = null;
    this.wiring.forget();
    if (this.carrier.isDragging) this.carrier.hold();
  }

  /** The studs of a bar have come under a press, which ends without choosing one. */
  fanned() {
    if (this.press) this.press.fanned = true;
    say(this.carrier.fan.target?.form.dataset.line1 ?? "", "Its studs: put the lead on one of them.");
  }

  /** A touch without movement: put down, pick up or select. @param {Press} press */
  touch(press) {
    if (this.carrier.hand) this.putDownAt(press);
    else if (press.grip) this.carrier.pickUp(press.grip, false);
    else choose(this.scene, document.elementFromPoint(press.at.x, press.at.y), press.at);
  }

  /** @param {Press} press */
  putDownAt(press) {
    const { scene, carrier } = this;
    if (press.fanned) return;
    if (carrier.fan.box) {
      const chosen = carrier.chosenAt(press.at);
      carrier.fan.close();
      if (chosen) carrier.putDown(chosen, chosen.at);
      return;
    }
    const target = caughtAt(scene, carrier.places, press.at, null);
    if (target) carrier.putDown(target, landing(scene, target, press.at));
    else say("Nothing can land there. The lead is still in your hand.", "");
  }
}

/** @param {WiringScene} scene @param {Point} at */
function gripAt(scene, at) {
  return under(scene, ".grip", at)[0] ?? null;
}

/** Clicks inside the drawing come from the pointer events above. @param {Event} event */
function swallow(event) {
  if (event.target instanceof SVGElement) event.preventDefault();
}
