// @ts-check
/**
 * Pan and zoom of the wiring diagram: one finger or the mouse pans, two fingers or the wheel zoom,
 * and plus, minus, 0 and the arrow keys do the same. What is under the pointer never gets swapped:
 * the pointer is captured by this element, not by the drawing inside it.
 */

const LEAST_SCALE = 0.2;
const MOST_SCALE = 8;
const KEY_STEP_PX = 80;
const KEY_ZOOM = 1.25;
const STILL_PX = 0.5;
const REVEAL_PX = 24;
const LEAST_FIT_SCALE = 0.35;
const READABLE_SCALE = 0.875;
const FOCUS_ORDER = [".chosen", ".rung.selected", ".fold.selected", ".rung.restarts", ".rung.load", ".fold"];

/** @typedef {{x: number, y: number}} Point */

export class WiringScene extends HTMLElement {
  /** @type {Map<number, Point>} */
  pointers = new Map();
  view = { x: 0, y: 0, scale: 1 };
  /** The drawing's own size. @type {Point} */
  size = { x: 0, y: 0 };
  /** @type {string | undefined} */
  shown = undefined;
  /** @type {{id: string, at: Point} | null} */
  anchor = null;
  /** The polarity whose bars a narrow drawing leaves out. */
  leftOut = "";

  connectedCallback() {
    this.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    this.addEventListener("keydown", (event) => this.key(event));
    for (const button of document.querySelectorAll("[data-zoom]")) {
      button.addEventListener("click", () => this.zoomButton(button.getAttribute("data-zoom") ?? ""));
    }
    document.addEventListener("htmx:beforeSwap", () => this.remember());
    document.addEventListener("htmx:afterSwap", () => this.keepInPlace());
    document.addEventListener("htmx:afterSettle", () => this.drawn());
    this.drawn();
    this.view.scale = Math.max(READABLE_SCALE, this.fitScale());
    this.lookAt(this.focused());
  }

  /** After the drawing was swapped: its own size, and the selected load in sight. */
  drawn() {
    this.letKeysIn();
    const box = this.diagram?.viewBox.baseVal;
    if (!box || (this.size.x === box.width && this.size.y === box.height && this.shown === this.focused()?.id)) return;
    this.fitWorld();
    const focus = this.focused();
    if (this.shown !== focus?.id && focus && !this.inSight(focus)) this.lookAt(focus);
    this.shown = focus?.id;
  }

  /** One stop of the tab key leads into the drawing: the selected load, else the first. */
  letKeysIn() {
    const stops = ".rung[tabindex], .fold[tabindex], .grip[tabindex]";
    if (this.diagram?.querySelector("[tabindex='0']")) return;
    const first = this.diagram?.querySelector(".rung.selected[tabindex]") ?? this.diagram?.querySelector(stops);
    first?.setAttribute("tabindex", "0");
  }

  /** The part of the pane that neither the window's edge nor a bar over it hides; the whole pane where all is hidden. */
  clear() {
    const { left, right, top, bottom } = this.getBoundingClientRect();
    const seen = { left, right, top: Math.max(0, top), bottom: Math.min(innerHeight, bottom) };
    for (const bar of document.querySelectorAll("#answer-bar, #lead-back")) {
      const over = bar.getBoundingClientRect();
      if (!over.height) continue;
      if (over.top > (top + bottom) / 2) seen.bottom = Math.min(seen.bottom, over.top);
      else seen.top = Math.max(seen.top, over.bottom);
    }
    return seen.top < seen.bottom ? seen : { left, right, top, bottom };
  }

  /** Bring a point of the drawing into sight, by as little as is needed. @param {Point} at */
  reveal(at) {
    const [pane, point] = [this.clear(), this.toScreen(at.x, at.y)];
    const lack = (/** @type {number} */ low, /** @type {number} */ high, /** @type {number} */ where) =>
      where < low ? low - where : Math.min(0, high - where);
    const dx = lack(pane.left + REVEAL_PX, pane.right - REVEAL_PX, point.x);
    const dy = lack(pane.top + REVEAL_PX, pane.bottom - REVEAL_PX, point.y);
    if (dx || dy) this.pan(dx, dy);
  }

  /** Before a swap: where the element under the eye stands on the screen. */
  remember() {
    const focus = this.focused();
    this.anchor = focus && this.inSight(focus) ? { id: focus.id, at: corner(focus) } : null;
  }

  /** After a swap: the same element stands where it stood, whatever the drawing's new size. */
  keepInPlace() {
    const element = this.anchor ? document.getElementById(this.anchor.id) : null;
    if (!this.anchor || !(element instanceof SVGElement)) return;
    this.fitWorld();
    const now = corner(element);
    const [dx, dy] = [this.anchor.at.x - now.x, this.anchor.at.y - now.y];
    if (Math.abs(dx) > STILL_PX || Math.abs(dy) > STILL_PX) this.pan(dx, dy);
    if (this.leftOutNow() !== this.leftOut) this.alignToPlates();
    this.anchor = null;
  }

  /** Change the pane's size, with what the eye is on still in sight afterwards. @param {() => void} resize */
  keepFocusInSight(resize) {
    const focus = this.focused();
    const was = focus !== null && this.inSight(focus);
    resize();
    if (focus && was && !this.inSight(focus)) this.lookAt(focus);
  }

  /** Which polarity a narrow drawing leaves out; empty where both are drawn. */
  leftOutNow() {
    const turn = this.diagram?.querySelector(".turn");
    return turn ? (turn.getAttribute("data-side") ?? "") : "";
  }

  /** Bring the plates of a narrow drawing to their edge of the pane. */
  alignToPlates() {
    this.leftOut = this.leftOutNow();
    if (!this.leftOut) return;
    const spare = this.clientWidth - this.size.x * this.view.scale;
    this.view.x = spare >= 0 ? spare / 2 : this.leftOut === "positive" ? 0 : spare;
    this.apply();
  }

  /** Give the drawing its own size. */
  fitWorld() {
    const box = this.diagram?.viewBox.baseVal;
    if (!box) return;
    this.size = { x: box.width, y: box.height };
    this.world.style.width = `${box.width}px`;
    this.world.style.height = `${box.height}px`;
  }

  /** The element the eye should find first: what is selected, else the first that restarts. */
  focused() {
    for (const selector of FOCUS_ORDER) {
      const found = this.diagram?.querySelector(selector);
      if (found instanceof SVGElement) return found;
    }
    return null;
  }

  /** Whether a thing is whole in sight; of a conductor or a bar, which may be longer than the pane, any of it. @param {SVGElement} element */
  inSight(element) {
    const [pane, box] = [this.getBoundingClientRect(), element.getBoundingClientRect()];
    if (element.matches(".conductor, .bar")) {
      return box.left < pane.right && box.right > pane.left && box.top < pane.bottom && box.bottom > pane.top;
    }
    return box.left >= pane.left && box.right <= pane.right && box.top >= pane.top && box.bottom <= pane.bottom;
  }

  /** Bring an element to the middle, as far as the drawing's edges allow. @param {SVGElement | null} element */
  lookAt(element) {
    this.apply();
    if (!element) return;
    const [box, middle] = [element.getBoundingClientRect(), this.middle()];
    this.view.x += middle.x - (box.left + box.width / 2);
    this.view.y += middle.y - (box.top + box.height / 2);
    const pane = this.getBoundingClientRect();
    this.view.x = within(this.view.x, pane.width - this.size.x * this.view.scale);
    this.view.y = within(this.view.y, pane.height - this.size.y * this.view.scale);
    this.apply();
    this.alignToPlates();
  }

  fitScale() {
    return this.size.x ? this.clientWidth / this.size.x : 1;
  }

  get world() {
    return /** @type {HTMLElement} */ (this.querySelector(".scene-world"));
  }

  get diagram() {
    return /** @type {SVGSVGElement | null} */ (this.querySelector("#diagram"));
  }

  apply() {
    const { x, y, scale } = this.view;
    this.world.style.transform = `translate(${x}px, ${y}px) scale(${scale})`;
    this.dispatchEvent(new Event("scene-moved"));
  }

  /** @param {number} dx @param {number} dy */
  pan(dx, dy) {
    this.view.x += dx;
    this.view.y += dy;
    this.apply();
  }

  /** Zoom about a point of the screen. @param {Point} at @param {number} factor */
  zoom(at, factor) {
    const frame = this.getBoundingClientRect();
    const scale = Math.min(MOST_SCALE, Math.max(LEAST_SCALE, this.view.scale * factor));
    const real = scale / this.view.scale;
    const [px, py] = [at.x - frame.left, at.y - frame.top];
    this.view = { x: px - (px - this.view.x) * real, y: py - (py - this.view.y) * real, scale };
    this.apply();
  }

  /** The whole height where that can still be read, else the whole width. */
  fit() {
    const whole = Math.min(this.fitScale(), this.size.y ? this.clientHeight / this.size.y : 1);
    const scale = whole >= LEAST_FIT_SCALE ? whole : Math.max(LEAST_FIT_SCALE, this.fitScale());
    this.view = { x: Math.max(0, (this.clientWidth - this.size.x * scale) / 2), y: 0, scale };
    this.apply();
  }

  middle() {
    const frame = this.getBoundingClientRect();
    return { x: frame.left + frame.width / 2, y: frame.top + frame.height / 2 };
  }

  /** @param {string} what */
  zoomButton(what) {
    if (what === "fit") this.fit();
    else this.zoom(this.middle(), what === "in" ? KEY_ZOOM : 1 / KEY_ZOOM);
  }

  /** @param {WheelEvent} event */
  wheel(event) {
    if (!event.ctrlKey && !event.metaKey && !event.shiftKey) return;
    event.preventDefault();
    this.zoom({ x: event.clientX, y: event.clientY }, Math.exp(-event.deltaY / 400));
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.target !== this || event.ctrlKey || event.metaKey || event.altKey) return;
    /** @type {Record<string, () => void>} */
    const moves = {
      ArrowLeft: () => this.pan(KEY_STEP_PX, 0),
      ArrowRight: () => this.pan(-KEY_STEP_PX, 0),
      ArrowUp: () => this.pan(0, KEY_STEP_PX),
      ArrowDown: () => this.pan(0, -KEY_STEP_PX),
      "+": () => this.zoom(this.middle(), KEY_ZOOM),
      "=": () => this.zoom(this.middle(), KEY_ZOOM),
      "-": () => this.zoom(this.middle(), 1 / KEY_ZOOM),
      "0": () => this.fit(),
    };
    if (event.key in moves) {
      event.preventDefault();
      moves[event.key]();
    }
  }

  /** Follow a moved pointer with pan or, with two pointers down, pinch. @param {PointerEvent} event */
  follow(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const now = { x: event.clientX, y: event.clientY };
    const other = [...this.pointers].find(([id]) => id !== event.pointerId)?.[1];
    if (other) {
      const factor = distance(now, other) / Math.max(1, distance(before, other));
      this.zoom(between(now, other), factor);
      this.pan((now.x - before.x) / 2, (now.y - before.y) / 2);
    } else {
      this.pan(now.x - before.x, now.y - before.y);
    }
    this.pointers.set(event.pointerId, now);
  }

  /** A point of the drawing, on the screen. @param {number} x @param {number} y @returns {Point} */
  toScreen(x, y) {
    const matrix = this.diagram?.getScreenCTM();
    return matrix ? new DOMPoint(x, y).matrixTransform(matrix) : { x, y };
  }

  /** A point of the screen, in the drawing. @param {Point} point @returns {Point} */
  toDrawing(point) {
    const matrix = this.diagram?.getScreenCTM();
    return matrix ? new DOMPoint(point.x, point.y).matrixTransform(matrix.inverse()) : point;
  }
}

/** @param {Point} a @param {Point} b */
export function distance(a, b) {
  return Math.hypot(a.x - b.x, a.y - b.y);
}

/**
 * The upper left corner of a rung's plate on the page, not in the window: where the page becomes shorter than it was
 * scrolled, the drawing has not moved.
 * @param {SVGElement} element @returns {Point}
 */
function corner(element) {
  const { left, top } = (element.querySelector(".plate") ?? element).getBoundingClientRect();
  return { x: left + scrollX, y: top + scrollY };
}

/** A shift that leaves no gap at either side, where the drawing is larger than the pane. @param {number} shift @param {number} spare */
function within(shift, spare) {
  return spare >= 0 ? spare / 2 : Math.min(0, Math.max(spare, shift));
}

/** @param {Point} a @param {Point} b @returns {Point} */
function between(a, b) {
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
}

customElements.define("wiring-scene", WiringScene);
