// @ts-check
/**
 * What is in the hand – one lead, or both leads of a load – from the pick-up to the put-down.
 * It only fills and submits the page's own forms; the server answers, and its answers land beside the hand.
 */

import { say, show, submit } from "./answer-bar.js";
import { CarriedEnd } from "./carried-end.js";
import { keepFlagsInSight } from "./flags.js";
import { HeldLead } from "./held-lead.js";
import { stayOn } from "./shape.js";
import { StudFan } from "./stud-fan.js";
import { place, targets } from "./targets.js";

const BOTH = "both";

/** @typedef {import("./scene.js").WiringScene} WiringScene */
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
 */

export class Carrier {
  /** @type {Hand | null} */
  hand = null;
  /** @type {Target[]} */
  places = [];
  putDownSent = false;
  goingBack = false;

  /** @param {WiringScene} scene @param {() => void} fanned the studs of a bar have come under the hand */
  constructor(scene, fanned) {
    this.scene = scene;
    this.fan = new StudFan(scene, fanned);
    this.end = new CarriedEnd(scene, this.fan);
    scene.addEventListener("scene-moved", () => {
      if (!this.isDragging) this.fan.close();
      keepFlagsInSight(scene);
      this.redraw();
    });
    document.addEventListener("htmx:afterSettle", () => this.answered());
    for (const failure of ["htmx:sendError", "htmx:timeout"]) document.addEventListener(failure, () => this.unanswered());
    document.querySelector("#lead-back")?.addEventListener("click", (event) => {
      if (!this.hand) return;
      event.preventDefault();
      this.putBack("Put back where it was.");
    });
  }

  get isDragging() {
    return this.hand?.dragging ?? false;
  }

  /** Take what a grip stands for in the hand and ask what would come of it everywhere. @param {SVGElement} grip @param {boolean} dragging */
  pickUp(grip, dragging) {
    this.goingBack = false;
    const { part, terminal } = this.take(grip, dragging);
    say(`Carrying ${grip.dataset.name ?? "the lead"}. Asking every place …`, "");
    if (terminal === BOTH) submit("pick-up-both", {});
    else submit("pick-up", { part, terminal });
  }

  /** @param {SVGElement} grip @param {boolean} dragging @returns {Hand} */
  take(grip, dragging) {
    const { part = "", terminal = "", polarity = "positive" } = grip.dataset;
    const lead = new HeldLead(this.scene, homeOf(grip), polarity);
    lead.moveTo(place(grip) ?? lead.home);
    this.hand = { grip, part, terminal, lead, dragging, answered: false };
    this.places = [];
    this.scene.classList.add("carrying");
    this.scene.classList.toggle("dragging", dragging);
    show("lead-back", true);
    return this.hand;
  }

  /** No answer came. */
  unanswered() {
    this.goingBack = false;
    this.giveRoomBack();
    say("The server does not answer. The lead is still in your hand.", "");
  }

  /** The ranked list has come, or has gone: the hand follows it. */
  answered() {
    if (this.putDownSent && document.querySelector("#taps form.htmx-request")) return; // something else has come meanwhile
    const list = document.getElementById("taps");
    const { part = "", terminal = "" } = list?.dataset ?? {};
    if (this.goingBack) {
      this.goingBack = part !== ""; // a list that was asked for before the lead went back
      if (!this.goingBack) this.giveRoomBack();
      return;
    }
    if (!this.hand && part) {
      const grip = gripOf(part, terminal);
      if (grip) this.take(grip, false);
    }
    if (!this.hand) {
      if (this.putDownSent) say("", "");
      this.putDownSent = false;
      this.giveRoomBack();
    } else if (part !== this.hand.part || terminal !== this.hand.terminal) {
      this.listIsOfAnother(this.hand, part);
    } else {
      this.listIsHere(this.hand);
    }
  }

  /** @param {Hand} hand @param {string} part */
  listIsOfAnother(hand, part) {
    if (!hand.answered) return;
    this.letGo();
    this.giveRoomBack();
    say("", "");
    if (part) this.answered(); // another lead was taken up in its place
  }

  /** @param {Hand} hand */
  listIsHere(hand) {
    if (hand.answered && this.places.length && document.contains(this.places[0].form)) return;
    const isFirst = !hand.answered;
    hand.answered = true;
    this.turned(hand);
    this.places = targets();
    this.end.placesAre(this.places);
    if (this.putDownSent) say("Not put down. It is still in your hand.", refusal());
    this.putDownSent = false;
    if (isFirst && !hand.dragging && this.places.length) this.scene.reveal(this.places[0].at);
    keepFlagsInSight(this.scene);
    this.redraw();
  }

  /** The drawing may have been turned to the lead's side: the hand keeps to the grip that is drawn now. @param {Hand} hand */
  turned(hand) {
    stayOn(hand.terminal === BOTH ? "positive" : hand.lead.polarity);
    const grip = gripOf(hand.part, hand.terminal);
    if (!grip || grip === hand.grip) return;
    hand.grip = grip;
    hand.lead.homeAt(homeOf(grip), place(grip) ?? hand.lead.end);
  }

  redraw() {
    if (this.hand?.dragging) this.end.draw(this.hand.lead, this.places);
  }

  /** The stud at a point of the screen becomes the place's own; answers the place. @param {Point} at */
  chosenAt(at) {
    const stud = this.fan.at(at);
    if (!stud || !this.fan.target) return null;
    this.fan.choose(stud);
    return this.fan.target;
  }

  /** The hand opens at the end of a drag. */
  release() {
    const hand = this.hand;
    if (!hand) return;
    const { end } = hand.lead;
    const at = this.scene.toScreen(end.x, end.y);
    const chosen = this.fan.box ? (this.chosenAt(at) ?? this.end.barOfFan(at)) : this.end.settledOn();
    if (chosen) this.putDown(chosen, end);
    else if (this.fan.box || this.end.caught) this.hold();
    else this.putBack("Put down on nothing: the lead is back where it was.");
  }

  /** @param {Target} target @param {Point} at */
  putDown(target, at) {
    const hand = this.hand;
    if (!hand) return;
    hand.lead.moveTo(at);
    hand.lead.ringAt(at);
    this.endDrag(hand);
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
    this.endDrag(hand);
    this.end.forget();
    hand.lead.ringAt(null);
    this.end.announce();
  }

  /** @param {Hand} hand */
  endDrag(hand) {
    hand.dragging = false;
    this.scene.classList.remove("dragging");
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
    this.end.forget();
    show("lead-back", false);
  }

  /** The room that carrying took is given back with the answer: before, the click of the same touch would meet something else. */
  giveRoomBack() {
    if (this.hand) return;
    this.scene.keepFocusInSight(() => this.scene.classList.remove("carrying", "dragging"));
  }
}

/** Why the server made nothing of a put-down, in its own words. */
function refusal() {
  return document.getElementById("message")?.textContent?.replace(/\s+/g, " ").trim() ?? "";
}

/** @param {string} part @param {string} terminal @returns {SVGElement | null} */
function gripOf(part, terminal) {
  const grip = document.getElementById(`grip-${part}--${terminal}`);
  return grip instanceof SVGElement ? grip : null;
}

/** The load's end of a lead. @param {SVGElement} grip @returns {Point} */
function homeOf(grip) {
  const { homeX, homeY } = grip.dataset;
  return homeX === undefined ? (place(grip) ?? { x: 0, y: 0 }) : { x: Number(homeX), y: Number(homeY) };
}
