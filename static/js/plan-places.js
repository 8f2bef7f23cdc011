// @ts-check
/**
 * Things carried over the plan: dragged by mouse, pen or finger, put by a touch, or moved by arrow keys.
 *
 * It fills in the hidden form that the page sent and submits it; without script the fields do the same.
 */
import { submit } from "./answer-bar.js";
import { armed, disarm } from "./plan-touch.js";

const SLOP_PX = 8;
const STEP_M = 0.1;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** @typedef {{thing: SVGAElement, pointer: number, from: DOMPoint, moved: boolean}} Carried */

class PlanPlaces extends HTMLElement {
  /** @type {Carried | null} */
  #carried = null;
  #swallow = false;

  connectedCallback() {
    this.addEventListener("pointerdown", (event) => this.#pickUp(event));
    this.addEventListener("pointermove", (event) => this.#carry(event));
    this.addEventListener("pointerup", (event) => this.#putDown(event));
    this.addEventListener("pointercancel", () => this.#putBack());
    this.addEventListener("click", (event) => this.#click(event), true);
    this.addEventListener("keydown", (event) => this.#keyDown(event));
    this.addEventListener("keyup", (event) => this.#keyUp(event));
    this.addEventListener("dragstart", (event) => event.preventDefault());
  }

  get #svg() {
    return this.querySelector("svg");
  }

  /** @param {PointerEvent} event */
  #pickUp(event) {
    this.#swallow = false;
    const thing = /** @type {Element} */ (event.target).closest("[data-thing]");
    if (!(thing instanceof SVGAElement) || event.button !== 0 || armed(this)) return;
    this.#carried = { thing, pointer: event.pointerId, from: this.#point(event), moved: false };
  }

  /** @param {PointerEvent} event */
  #carry(event) {
    const held = this.#carried;
    if (!held || event.pointerId !== held.pointer) return;
    const at = this.#point(event);
    const far = Math.hypot(at.x - held.from.x, at.y - held.from.y) * this.#pxPerUnit();
    if (!held.moved && far < SLOP_PX) return;
    if (!held.moved) this.setPointerCapture(held.pointer);
    held.moved = true;
    this.#shift(held.thing, at.x - held.from.x, at.y - held.from.y);
  }

  /** @param {PointerEvent} event */
  #putDown(event) {
    const held = this.#carried;
    this.#carried = null;
    if (!held || !held.moved || event.pointerId !== held.pointer) return;
    this.#swallow = true;
    const at = this.#point(event);
    const [x, y] = this.#metres(held.thing);
    const scale = this.#number("scale");
    this.#send(held.thing.id.slice("spot-".length), x + (at.x - held.from.x) / scale, y - (at.y - held.from.y) / scale);
  }

  #putBack() {
    if (this.#carried) this.#shift(this.#carried.thing, 0, 0);
    this.#carried = null;
  }

  /** @param {MouseEvent} event */
  #click(event) {
    const put = armed(this);
    if (!put && !this.#swallow) return;
    event.preventDefault();
    event.stopPropagation();
    this.#swallow = false;
    if (!put) return;
    const at = this.#point(event);
    const scale = this.#number("scale");
    disarm(this);
    this.#send(put, (at.x - this.#number("left")) / scale, (this.#number("middle") - at.y) / scale);
  }

  /** @param {KeyboardEvent} event */
  #keyDown(event) {
    if (event.key === "Escape") {
      disarm(this);
      this.#putBack();
    }
    const thing = event.target;
    const way = ARROWS[/** @type {keyof typeof ARROWS} */ (event.key)];
    if (!way || !(thing instanceof SVGAElement) || !thing.matches("[data-thing]")) return;
    event.preventDefault();
    const [x, y] = this.#metres(thing);
    const steps = event.shiftKey ? 5 : 1;
    thing.dataset.goesX = String(Number(thing.dataset.goesX ?? x) + way[0] * steps * STEP_M);
    thing.dataset.goesY = String(Number(thing.dataset.goesY ?? y) + way[1] * steps * STEP_M);
    const scale = this.#number("scale");
    this.#shift(thing, (Number(thing.dataset.goesX) - x) * scale, (y - Number(thing.dataset.goesY)) * scale);
  }

  /** @param {KeyboardEvent} event */
  #keyUp(event) {
    const thing = event.target;
    if (!(event.key in ARROWS) || !(thing instanceof SVGAElement) || thing.dataset.goesX === undefined) return;
    this.#send(thing.id.slice("spot-".length), Number(thing.dataset.goesX), Number(thing.dataset.goesY));
  }

  /**
   * @param {string} thing
   * @param {number} x
   * @param {number} y
   */
  #send(thing, x, y) {
    submit(this.dataset.form ?? "", { on: thing, x: x.toFixed(3), y: y.toFixed(3) });
  }

  /** @param {SVGAElement} thing */
  #metres(thing) {
    return [Number(thing.dataset.x), Number(thing.dataset.y)];
  }

  /**
   * @param {SVGAElement} thing
   * @param {number} dx
   * @param {number} dy
   */
  #shift(thing, dx, dy) {
    thing.classList.toggle("carried", dx !== 0 || dy !== 0);
    thing.setAttribute("transform", `translate(${dx} ${dy})`);
  }

  /** @param {string} name */
  #number(name) {
    return Number(this.#svg?.dataset[name]);
  }

  #pxPerUnit() {
    return this.#svg?.getScreenCTM()?.a ?? 1;
  }

  /** @param {MouseEvent} event */
  #point(event) {
    const matrix = this.#svg?.getScreenCTM();
    const at = new DOMPoint(event.clientX, event.clientY);
    return matrix ? at.matrixTransform(matrix.inverse()) : at;
  }
}

customElements.define("plan-places", PlanPlaces);
