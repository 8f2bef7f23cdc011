// @ts-check
/** A cable drawn by hand: from the terminal that it is put in from, by drag, to whatever the finger is lifted on. */

import { say } from "./answer-bar.js";
import { HeldLead } from "./held-lead.js";
import { distance } from "./scene.js";
import { wireTo, wiresFrom } from "./selecting.js";
import { place, TOUCH_PX } from "./targets.js";
import { thingAt } from "./touched.js";

const SVG = "http://www.w3.org/2000/svg";

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */

export class Wiring {
  /** @type {HeldLead | null} */
  line = null;
  /** Where the cable begins, in the drawing. @type {Point | null} */
  home = null;
  /** @type {SVGSVGElement | null} */
  mark = null;

  /** @param {WiringScene} scene */
  constructor(scene) {
    this.scene = scene;
    document.addEventListener("htmx:afterSettle", () => this.follow());
    this.follow();
  }

  /** The mark stands in sight where a cable is being put in from; it goes when none is. */
  follow() {
    const tap = this.tap();
    const isNew = !this.home;
    this.home = tap && this.inSightOn(tap);
    this.mark?.remove();
    this.mark = this.home && this.drawn(this.home);
    if (this.home && isNew) this.scene.reveal(this.home);
  }

  /** @returns {SVGElement | null} */
  tap() {
    const [part, terminal] = wiresFrom().split(".");
    const tap = terminal ? document.getElementById(`tap-${part}--${terminal}`) : null;
    return tap instanceof SVGElement ? tap : null;
  }

  /** The point of a terminal; on a bar, which is one piece of metal, the point nearest to the eye. @param {SVGElement} tap @returns {Point | null} */
  inSightOn(tap) {
    const at = place(tap);
    const bar = [...this.scene.querySelectorAll(`.bar[data-thing="${tap.dataset.part}"] .bar-metal`)].find(
      (metal) => metal instanceof SVGGraphicsElement && at && spans(metal.getBBox(), at),
    );
    if (!at || !(bar instanceof SVGGraphicsElement)) return at;
    const { y, height } = bar.getBBox();
    const eye = this.scene.toDrawing(this.scene.middle()).y;
    return { x: at.x, y: Math.min(Math.max(eye, y), y + height) };
  }

  /** @param {Point} at */
  drawn(at) {
    const svg = document.createElementNS(SVG, "svg");
    svg.setAttribute("id", "wire-from");
    svg.setAttribute("class", "held-lead wire-from");
    svg.setAttribute("aria-hidden", "true");
    svg.setAttribute("viewBox", this.scene.diagram?.getAttribute("viewBox") ?? "0 0 1 1");
    const ring = document.createElementNS(SVG, "circle");
    for (const [name, value] of Object.entries({ cx: at.x, cy: at.y, r: 18 })) ring.setAttribute(name, String(value));
    svg.append(ring);
    this.scene.world.append(svg);
    return svg;
  }

  /** Whether a press at a point of the screen is on the mark. @param {Point} at */
  isOn(at) {
    return this.home !== null && distance(this.scene.toScreen(this.home.x, this.home.y), at) <= TOUCH_PX;
  }

  /** The press has become a movement. */
  begin() {
    if (!this.home) return;
    this.line = new HeldLead(this.scene, this.home, this.tap()?.dataset.polarity ?? "positive");
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
    const thing = (rung instanceof SVGElement && rung.dataset.part) || thingAt(this.scene, at);
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

/** Whether a box of the drawing holds a point, give or take a bar's breadth. @param {DOMRect} box @param {Point} at */
function spans(box, at) {
  const room = box.width;
  return at.x >= box.x - room && at.x <= box.x + 2 * room && at.y >= box.y - room && at.y <= box.y + box.height + room;
}
