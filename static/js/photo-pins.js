// @ts-check
/** Pins on a photo: touch a point to put one there, drag one to move it. Both write the number fields of its form. */

const DRAG_PX = 8;
const PERCENT = 100;
const NEW = "pin-new";

/** @typedef {{ x: number, y: number }} Point */

/** @param {Event} event @returns {SVGGElement | null} */
const pinUnder = (event) => /** @type {Element} */ (event.target).closest(".pin");

class PhotoPins extends HTMLElement {
  /** @type {{ pin: SVGGElement, start: Point, moved: boolean } | null} */
  #held = null;
  /** Whether the click that follows belongs to a pin that was just let go. */
  #letGo = false;

  connectedCallback() {
    const svg = this.svg;
    // A finger on a pin neither scrolls nor goes back a page; `touch-action` is not heard inside of a drawing.
    svg.addEventListener("touchstart", (event) => pinUnder(event) && event.preventDefault(), { passive: false });
    svg.addEventListener("pointerdown", (event) => this.down(event));
    svg.addEventListener("pointermove", (event) => this.move(event));
    svg.addEventListener("pointerup", () => this.up());
    svg.addEventListener("pointercancel", () => this.back());
    svg.addEventListener("click", (event) => this.touch(event));
  }

  get svg() {
    return /** @type {SVGSVGElement} */ (this.querySelector("svg"));
  }

  /** @param {PointerEvent} event */
  down(event) {
    const pin = pinUnder(event);
    this.#letGo = false;
    this.#held = pin && event.isPrimary ? { pin, start: { x: event.clientX, y: event.clientY }, moved: false } : null;
    if (this.#held) this.svg.setPointerCapture(event.pointerId);
  }

  /** @param {PointerEvent} event */
  move(event) {
    const held = this.#held;
    if (!held) return;
    held.moved ||= Math.hypot(event.clientX - held.start.x, event.clientY - held.start.y) > DRAG_PX;
    if (held.moved) this.put(held.pin, this.at(event));
  }

  /** A drag moves the pin, which for one that is still to be put writes its fields alone; a touch opens its row. */
  up() {
    const held = this.#held;
    this.#held = null;
    this.#letGo = held !== null;
    if (held && !held.moved) this.open(held.pin);
    else if (held && held.pin.dataset.pin !== NEW) this.formOf(held.pin)?.requestSubmit();
  }

  /** The system took the touch away: the pin goes back. */
  back() {
    const pin = this.#held?.pin;
    this.#held = null;
    if (!pin) return;
    this.formOf(pin)?.reset();
    const [x, y] = ["x", "y"].map((side) => Number(this.field(pin, side)?.value) / PERCENT);
    this.put(pin, { x, y });
  }

  /** A touch beside the pins puts the next one there. @param {MouseEvent} event */
  touch(event) {
    const pin = this.querySelector(`[data-pin="${NEW}"]`);
    if (this.#letGo || !(pin instanceof SVGGElement)) return;
    pin.removeAttribute("visibility");
    this.put(pin, this.at(event));
    this.open(pin);
  }

  /** @param {SVGGElement} pin */
  open(pin) {
    document.getElementById(`${pin.dataset.pin}-part`)?.setAttribute("open", "");
    this.field(pin, "what")?.focus();
  }

  /** Where on the photo, as shares of its size. @param {MouseEvent} event @returns {Point} */
  at(event) {
    const matrix = this.svg.getScreenCTM();
    if (!matrix) return { x: 0, y: 0 };
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    const { width, height } = this.svg.viewBox.baseVal;
    return { x: Math.min(Math.max(at.x / width, 0), 1), y: Math.min(Math.max(at.y / height, 0), 1) };
  }

  /** @param {SVGGElement} pin @param {Point} at */
  put(pin, at) {
    const { width, height } = this.svg.viewBox.baseVal;
    pin.setAttribute("transform", `translate(${at.x * width} ${at.y * height})`);
    const [x, y] = [this.field(pin, "x"), this.field(pin, "y")];
    if (x && y) [x.value, y.value] = [(at.x * PERCENT).toFixed(1), (at.y * PERCENT).toFixed(1)];
  }

  /** @param {SVGGElement} pin */
  formOf(pin) {
    const form = document.getElementById(`${pin.dataset.pin}-form`);
    return form instanceof HTMLFormElement ? form : null;
  }

  /** @param {SVGGElement} pin @param {string} name */
  field(pin, name) {
    const field = document.getElementById(`${pin.dataset.pin}-${name}`);
    return field instanceof HTMLInputElement ? field : null;
  }
}

customElements.define("photo-pins", PhotoPins);
