// @ts-check
/** A cable drawn by hand: from the terminal that it is put in from, by drag, to whatever the finger is lifted on. */

import { say } from "./answer-bar.js";
import { HeldLead } from "./held-lead.js";
import { wireTo, wiresFrom } from "./selecting.js";
import { place, under } from "./targets.js";
import { thingAt } from "./touched.js";

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */

export class Wiring {
  /** @type {HeldLead | null} */
  line = null;

  /** @param {WiringScene} scene */
  constructor(scene) {
    this.scene = scene;
    document.addEventListener("htmx:afterSettle", () => this.mark());
    this.mark();
  }

  /** The terminal's own mark, from which the cable is drawn. */
  mark() {
    this.scene.querySelectorAll(".wire-from").forEach((tap) => tap.classList.remove("wire-from"));
    this.tap()?.classList.add("wire-from");
  }

  /** @returns {SVGElement | null} */
  tap() {
    const [part, terminal] = wiresFrom().split(".");
    const tap = terminal ? document.getElementById(`tap-${part}--${terminal}`) : null;
    return tap instanceof SVGElement ? tap : null;
  }

  /** Whether a press at a point of the screen is on the mark. @param {Point} at */
  isOn(at) {
    return under(this.scene, ".wire-from", at).length > 0;
  }

  /** The press has become a movement. */
  begin() {
    const tap = this.tap();
    const home = place(tap);
    if (tap && home) this.line = new HeldLead(this.scene, home, tap.dataset.polarity ?? "positive");
    say("Wiring: lift the finger where the cable goes.", "");
  }

  /** @param {Point} at */
  move(at) {
    this.line?.moveTo(this.scene.toDrawing(at));
  }

  /** The finger is lifted. @param {Point} at */
  end(at) {
    this.forget();
    const rung = document.elementFromPoint(at.x, at.y)?.closest(".rung");
    const thing = rung instanceof SVGElement && rung.dataset.part ? rung.dataset.part : thingAt(this.scene, at);
    if (thing) wireTo(thing);
    else say("Nothing is there: touch where the cable goes, or choose it under “To”.", "");
  }

  /** The movement ends without a place. */
  forget() {
    if (!this.line) return;
    this.line.remove();
    this.line = null;
    say("", "");
  }
}
