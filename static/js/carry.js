// @ts-check
/**
 * Carrying a lead: by drag, by touch and touch, or from the keyboard through the ranked list.
 * The script only fills and submits the page's own forms; the server answers, and its answers land beside the hand.
 */

import { barAtBottom, say, show, submit } from "./answer-bar.js";
import { EDGE_PX, EdgePan } from "./edge-pan.js";
import { keepFlagsInSight } from "./flags.js";
import { HeldLead } from "./held-lead.js";
import { distance, WiringScene } from "./scene.js";
import { stayOn, turnTo, watchShape } from "./shape.js";
import { StudFan } from "./stud-fan.js";
import { caughtAt, landing, place, targets, under } from "./targets.js";

const START_PX = 8;
const LIFT_PX = 64;
const LIFT_MS = 100;
const SETTLE_MS = 120;
const STOPS = ".rung, .fold, .grip, .turn";

/** @typedef {import("./scene.js").Point} Point */
/** @typedef {import("./targets.js").Target} Target */
/**
 * @typedef {object} Hand
 * @property {SVGElement} grip
 * @property {string} part
 * @property {string} terminal
 * @property {HeldLead} lead
 * @property {boolean} dragging
 * @property {boolean} answered
 * @property {Target | null} caught
 */

class Carrier {
  /** @type {Hand | null} */
  hand = null;
  /** @type {{pointer: number, at: Point, grip: SVGElement | null, type: string, began: number, moved: boolean, fanned: boolean} | null} */
  press = null;
  /** @type {Point} */
  finger = { x: 0, y: 0 };
  /** @type {Target[]} */
  places = [];
  settling = 0;
  putDownSent = false;
  goingBack = false;

  /** @param {WiringScene} scene */
  constructor(scene) {
    this.scene = scene;
    this.edge = new EdgePan(scene, () => (this.hand?.dragging && !this.hand.caught ? this.finger : null));
    this.fan = new StudFan(scene, () => this.fanned());
    scene.addEventListener("pointerdown", (event) => this.down(event));
    scene.addEventListener("pointermove", (event) => this.move(event));
    scene.addEventListener("pointerup", (event) => this.up(event));
    scene.addEventListener("pointercancel", (event) => this.cancel(event));
    scene.addEventListener("click", (event) => this.swallow(event), true);
    scene.addEventListener("keydown", (event) => this.key(event));
    scene.addEventListener("scene-moved", () => {
      if (!this.hand?.dragging) this.fan.close();
      keepFlagsInSight(scene);
      this.redraw();
    });
    document.addEventListener("keydown", (event) => this.escape(event));
    document.addEventListener("htmx:afterSettle", () => this.answered());
    for (const failure of ["htmx:sendError", "htmx:timeout"]) document.addEventListener(failure, () => this.unanswered());
    document.querySelector("#lead-back")?.addEventListener("click", (event) => {
      if (!this.hand) return;
      event.preventDefault();
      this.putBack("Put back where it was.");
    });
  }

  /** @param {PointerEvent} event */
  down(event) {
    const at = { x: event.clientX, y: event.clientY };
    this.scene.pointers.set(event.pointerId, at);
    if (event.pointerType === "mouse" && event.button !== 0) return;
    this.scene.setPointerCapture(event.pointerId);
    if (this.scene.pointers.size > 1) {
      if (this.hand?.dragging) this.hold();
      this.press = null;
      return;
    }
    const grip = this.hand ? null : this.gripAt(event, at);
    this.press = { pointer: event.pointerId, at, grip, type: event.pointerType, began: event.timeStamp, moved: false, fanned: false };
    this.finger = at;
    if (this.hand) this.fan.watch(caughtAt(this.scene, this.places, at, null), at);
  }

  /** @param {PointerEvent} event @param {Point} at */
  gripAt(event, at) {
    if (this.looksBack()) return null;
    return /** @type {SVGElement | undefined} */ (under(this.scene, ".grip", at)[0]) ?? null;
  }

  /** @param {PointerEvent} event */
  move(event) {
    if (this.press?.pointer !== event.pointerId) {
      if (this.scene.pointers.size > 1) this.scene.follow(event);
      return;
    }
    const at = { x: event.clientX, y: event.clientY };
    if (!this.press.moved && distance(at, this.press.at) < START_PX) return;
    if (!this.press.moved) {
      this.press.moved = true;
      this.fan.forget();
      if (this.press.grip) this.pickUp(this.press.grip, true);
    }
    this.finger = at;
    if (this.hand?.dragging) {
      this.scene.pointers.set(event.pointerId, at);
      this.redraw();
      this.edge.watch();
    } else {
      this.scene.follow(event);
    }
  }

  /** @param {PointerEvent} event */
  up(event) {
    this.scene.pointers.delete(event.pointerId);
    const press = this.press;
    if (press?.pointer !== event.pointerId) return;
    this.press = null;
    this.fan.forget();
    if (this.hand?.dragging) this.release();
    else if (!press.moved) this.touch(press, event);
  }

  /** @param {PointerEvent} event */
  cancel(event) {
    this.scene.pointers.delete(event.pointerId);
    if (this.press?.pointer === event.pointerId) this.press = null;
    if (this.hand?.dragging) this.hold();
  }

  /** A touch without movement: put down, pick up or select. @param {{at: Point, grip: SVGElement | null, fanned: boolean}} press @param {PointerEvent} event */
  touch(press, event) {
    if (this.hand) {
      if (press.fanned) return;
      if (this.fan.box) {
        const chosen = this.chosenAt(press.at);
        this.fan.close();
        if (chosen) this.putDown(chosen, chosen.at);
        return;
      }
      const target = caughtAt(this.scene, this.places, press.at, null);
      if (target) this.putDown(target, landing(this.scene, target, press.at));
      else say("Nothing can land there. The lead is still in your hand.", "");
      return;
    }
    if (press.grip) {
      this.pickUp(press.grip, false);
      return;
    }
    const over = document.elementFromPoint(event.clientX, event.clientY);
    if (this.looksBack()) return;
    const turn = over?.closest(".turn");
    if (turn instanceof SVGElement) turnTo(turn.dataset.side ?? "");
    const rung = over?.closest(".rung, .fold");
    if (rung instanceof SVGElement) this.select(rung);
  }

  /** Whether the picture shows the boat before the last change, where nothing can be taken in the hand. */
  looksBack() {
    return this.scene.querySelector("[data-before]") !== null;
  }

  /** The studs have come under a press, which ends without choosing one. */
  fanned() {
    if (this.press) this.press.fanned = true;
    say(this.fan.target?.form.dataset.line1 ?? "", "Its studs: put the lead on one of them.");
  }

  /** The stud at a point of the screen becomes the place's own; answers the place. @param {Point} at */
  chosenAt(at) {
    const stud = this.fan.at(at);
    if (!stud || !this.fan.target) return null;
    this.fan.choose(stud);
    return this.fan.target;
  }

  /** Clicks inside the drawing come from the pointer events above. @param {Event} event */
  swallow(event) {
    if (event.target instanceof SVGElement) event.preventDefault();
  }

  /** Select a load; one that is selected already shows the way to its leads. @param {SVGElement} rung */
  select(rung) {
    if (rung.matches(".selected")) {
      const grip = this.scene.querySelector(".grip");
      if (grip instanceof SVGElement) grip.focus();
      return;
    }
    submit("select-load", { selected: rung.dataset.part ?? "" });
  }

  /** Take a lead in the hand and ask what would come of it everywhere. @param {SVGElement} grip @param {boolean} dragging */
  pickUp(grip, dragging) {
    if (grip.matches(".both")) {
      submit("pick-up-both", {});
      return;
    }
    this.goingBack = false;
    const hand = this.take(grip, dragging);
    if (this.press) this.press.began = performance.now();
    say(`Carrying ${grip.dataset.name ?? "the lead"}. Asking every place …`, "");
    submit("pick-up", { part: hand.part, terminal: hand.terminal });
  }

  /** @param {SVGElement} grip @param {boolean} dragging @returns {Hand} */
  take(grip, dragging) {
    const { part = "", terminal = "", polarity = "positive" } = grip.dataset;
    const lead = new HeldLead(this.scene, homeOf(grip), polarity);
    lead.moveTo(place(grip) ?? lead.home);
    this.hand = { grip, part, terminal, lead, dragging, answered: false, caught: null };
    this.places = [];
    this.scene.classList.add("carrying");
    show("lead-back", true);
    return this.hand;
  }

  /** No answer came. */
  unanswered() {
    this.goingBack = false;
    say("The server does not answer. The lead is still in your hand.", "");
  }

  /** The ranked list has come, or has gone: the hand follows it. */
  answered() {
    const list = document.getElementById("taps");
    const { part = "", terminal = "" } = list?.dataset ?? {};
    if (this.goingBack) {
      this.goingBack = part !== ""; // a list that was asked for before the lead went back
      return;
    }
    if (!this.hand && part) {
      const grip = document.getElementById(`grip-${part}--${terminal}`);
      if (grip instanceof SVGElement) this.take(grip, false);
    }
    const hand = this.hand;
    if (!hand) {
      if (this.putDownSent) say("", "");
      this.putDownSent = false;
      return;
    }
    if (part !== hand.part || terminal !== hand.terminal) {
      if (hand.answered) {
        this.letGo();
        say("", "");
        if (part) this.answered(); // another lead was taken up in its place
      }
      return;
    }
    if (hand.answered && this.places.length && document.contains(this.places[0].form)) return;
    hand.answered = true;
    hand.caught = null;
    this.turned(hand);
    this.places = targets();
    say(list?.dataset.line1 ?? "", list?.dataset.line2 ?? "");
    if (!hand.dragging && this.places.length) this.scene.reveal(this.places[0].at);
    keepFlagsInSight(this.scene);
    this.redraw();
  }

  /** The drawing may have been turned to the lead's side: the hand keeps to the grip that is drawn now. @param {Hand} hand */
  turned(hand) {
    stayOn(hand.lead.polarity);
    const grip = document.getElementById(`grip-${hand.part}--${hand.terminal}`);
    if (!(grip instanceof SVGElement) || grip === hand.grip) return;
    hand.grip = grip;
    hand.lead.homeAt(homeOf(grip), place(grip) ?? hand.lead.end);
  }

  /** Where the lead's end rides on the screen: above a finger, at a mouse's tip. @returns {Point} */
  end() {
    if (this.press?.type !== "touch") return this.finger;
    const frame = this.scene.getBoundingClientRect();
    const eased = Math.min(1, (performance.now() - this.press.began) / LIFT_MS);
    const below = this.finger.y - frame.top < LIFT_PX + EDGE_PX;
    return { x: this.finger.x, y: this.finger.y + (below ? LIFT_PX : -LIFT_PX) * eased };
  }

  redraw() {
    const hand = this.hand;
    if (!hand?.dragging) return;
    const point = this.end();
    if (this.fan.box && this.fan.covers(point)) {
      this.overFan(hand, point);
      return;
    }
    this.fan.close();
    const caught = caughtAt(this.scene, this.places, point, hand.caught);
    if (caught !== hand.caught) {
      hand.caught = caught;
      this.scene.removeAttribute("data-settled");
      clearTimeout(this.settling);
      if (caught) this.settling = setTimeout(() => this.scene.setAttribute("data-settled", ""), SETTLE_MS);
      this.announce(caught);
    }
    this.fan.watch(caught, point);
    const met = caught ? landing(this.scene, caught, point) : null;
    hand.lead.moveTo(met ?? this.scene.toDrawing(point));
    hand.lead.ringAt(met);
    const frame = this.scene.getBoundingClientRect();
    barAtBottom(this.finger.y < frame.top + frame.height / 2);
  }

  /** The lead's end among the studs that are fanned out. @param {Hand} hand @param {Point} point */
  overFan(hand, point) {
    const stud = this.fan.at(point);
    hand.lead.moveTo(this.scene.toDrawing(point));
    hand.lead.ringAt(null);
    if (stud) say(this.fan.target?.form.dataset.line1 ?? "", stud.textContent ?? "");
  }

  /** @param {Target | null} caught */
  announce(caught) {
    const list = document.getElementById("taps");
    const from = caught ? caught.form : list;
    say(from?.dataset.line1 ?? "", caught?.form.dataset.refused || (from?.dataset.line2 ?? ""));
  }

  release() {
    const hand = this.hand;
    if (!hand) return;
    if (this.fan.box) {
      const chosen = this.chosenAt(this.scene.toScreen(hand.lead.end.x, hand.lead.end.y));
      if (chosen) this.putDown(chosen, hand.lead.end);
      else this.hold();
      return;
    }
    const settled = this.scene.hasAttribute("data-settled");
    if (hand.caught && settled) this.putDown(hand.caught, hand.lead.end);
    else if (hand.caught) this.hold();
    else this.putBack("Put down on nothing: the lead is back where it was.");
  }

  /** @param {Target} target @param {Point} at */
  putDown(target, at) {
    const hand = this.hand;
    if (!hand) return;
    hand.lead.moveTo(at);
    hand.lead.ringAt(at);
    hand.dragging = false;
    if (target.form.dataset.refused) {
      say(target.form.dataset.line1 ?? "", target.form.dataset.refused);
      return;
    }
    target.form.requestSubmit();
    this.putDownSent = true;
    this.letGo();
  }

  /** Turn a drag into a lead held for touch and touch. */
  hold() {
    const hand = this.hand;
    if (!hand) return;
    hand.dragging = false;
    hand.caught = null;
    hand.lead.ringAt(null);
    this.announce(null);
  }

  /** @param {string} words */
  putBack(words) {
    this.letGo();
    this.goingBack = true;
    say(words, "");
    submit("put-back-form", {});
  }

  letGo() {
    this.fan.close();
    this.hand?.lead.remove();
    this.hand = null;
    this.places = [];
    this.scene.classList.remove("carrying");
    this.scene.removeAttribute("data-settled");
    clearTimeout(this.settling);
    show("lead-back", false);
  }

  /** @param {KeyboardEvent} event */
  escape(event) {
    if (event.key !== "Escape" || !this.hand) return;
    event.preventDefault();
    if (this.fan.box) this.fan.close();
    else if (this.hand.dragging) this.hold();
    else this.putBack("Put back where it was.");
  }

  /** Arrow keys walk loads and their grips; Enter selects or picks up. @param {KeyboardEvent} event */
  key(event) {
    const here = event.target instanceof SVGElement ? event.target.closest(STOPS) : null;
    if (!(here instanceof SVGElement)) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      if (this.looksBack()) return;
      if (here.matches(".grip")) this.pickUp(here, false);
      else if (here.matches(".turn")) turnTo(here.dataset.side ?? "");
      else this.select(here);
      return;
    }
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (step) {
      event.preventDefault();
      this.walk(here, step);
    }
  }

  /** @param {SVGElement} here @param {number} step */
  walk(here, step) {
    const order = /** @type {SVGElement[]} */ ([...this.scene.querySelectorAll(STOPS)]);
    const next = order[order.indexOf(here) + step];
    if (!next) return;
    here.setAttribute("tabindex", "-1");
    next.setAttribute("tabindex", "0");
    next.focus();
  }
}

/** The load's end of a lead. @param {SVGElement} grip @returns {Point} */
function homeOf(grip) {
  const { homeX, homeY } = grip.dataset;
  return homeX === undefined ? (place(grip) ?? { x: 0, y: 0 }) : { x: Number(homeX), y: Number(homeY) };
}

customElements.whenDefined("wiring-scene").then(() => {
  const scene = document.querySelector("wiring-scene[data-carry]");
  if (scene instanceof WiringScene) new Carrier(scene).answered();
  if (scene instanceof WiringScene) watchShape();
});
