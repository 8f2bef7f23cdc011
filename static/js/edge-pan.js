// @ts-check
/** Near the pane's edge the drawing comes to meet a hand that carries something. */

export const EDGE_PX = 64;
const WAIT_MS = 200;
const PX_PER_S = 600;

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */

export class EdgePan {
  since = 0;
  lastFrame = 0;

  /** @param {WiringScene} scene @param {() => Point | null} finger where the carrying finger is, or null */
  constructor(scene, finger) {
    this.scene = scene;
    this.finger = finger;
  }

  /** Begin to pan once the finger has stayed near an edge for a moment. */
  watch() {
    const push = this.push();
    if (!push) {
      this.since = 0;
    } else if (!this.since) {
      this.since = performance.now();
      this.lastFrame = 0;
      requestAnimationFrame((time) => this.frame(time));
    }
  }

  /** How hard the finger pushes, each axis between -1 and 1; null where it does not. @returns {Point | null} */
  push() {
    const finger = this.finger();
    if (!finger) return null;
    const pane = this.scene.clear();
    const depth = (/** @type {number} */ gap) => Math.max(0, Math.min(1, (EDGE_PX - gap) / EDGE_PX));
    const x = depth(finger.x - pane.left) - depth(pane.right - finger.x);
    const y = depth(finger.y - pane.top) - depth(pane.bottom - finger.y);
    return x || y ? { x, y } : null;
  }

  /** @param {number} time */
  frame(time) {
    const push = this.push();
    if (!push || !this.since) {
      this.since = 0;
      return;
    }
    const elapsed = this.lastFrame ? (time - this.lastFrame) / 1000 : 0;
    if (performance.now() - this.since >= WAIT_MS) {
      this.scene.pan(push.x * PX_PER_S * elapsed, push.y * PX_PER_S * elapsed);
    }
    this.lastFrame = time;
    requestAnimationFrame((next) => this.frame(next));
  }
}
