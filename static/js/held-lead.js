// @ts-check
/** The lead in the hand, or both leads: lines from the load to the free end, drawn over the diagram. */

const SVG = "http://www.w3.org/2000/svg";
const APART = 7;

/** @typedef {import("./scene.js").WiringScene} WiringScene */
/** @typedef {import("./scene.js").Point} Point */

export class HeldLead {
  /** @param {WiringScene} scene @param {Point} home @param {string} polarity positive, negative or both */
  constructor(scene, home, polarity) {
    this.scene = scene;
    this.home = home;
    this.end = home;
    this.polarity = polarity;
    this.svg = document.createElementNS(SVG, "svg");
    this.svg.setAttribute("id", "held-lead");
    this.svg.setAttribute("class", `held-lead held-${polarity}`);
    this.fitToDiagram();
    this.svg.setAttribute("aria-hidden", "true");
    const sides = polarity === "both" ? ["positive", "negative"] : [polarity];
    this.lines = sides.map((side) => this.add("line", `held-line held-line-${side}`));
    this.ring = this.add("circle", "held-catch");
    this.dot = this.add("circle", "held-end");
    scene.world.append(this.svg);
    this.moveTo(home);
  }

  /** @param {string} shape @param {string} name */
  add(shape, name) {
    const element = document.createElementNS(SVG, shape);
    element.setAttribute("class", name);
    this.svg.append(element);
    return element;
  }

  /** The drawing below was swapped: both ends have moved. @param {Point} home @param {Point} end */
  homeAt(home, end) {
    this.home = home;
    this.fitToDiagram();
    this.moveTo(end);
  }

  fitToDiagram() {
    this.svg.setAttribute("viewBox", this.scene.diagram?.getAttribute("viewBox") ?? "0 0 1 1");
  }

  /** Put the free end at a point of the drawing. @param {Point} end */
  moveTo(end) {
    this.end = end;
    this.lines.forEach((line, at) => {
      const aside = APART * (at - (this.lines.length - 1) / 2);
      set(line, { x1: this.home.x, y1: this.home.y + aside, x2: end.x, y2: end.y + aside });
    });
    set(this.dot, { cx: end.x, cy: end.y, r: 7 });
  }

  /** Ring the caught target, or none. @param {Point | null} at */
  ringAt(at) {
    set(this.ring, at ? { cx: at.x, cy: at.y, r: 18 } : { cx: 0, cy: 0, r: 0 });
  }

  remove() {
    this.svg.remove();
  }
}

/** @param {Element} element @param {Record<string, number>} values */
function set(element, values) {
  for (const [name, value] of Object.entries(values)) element.setAttribute(name, String(value));
}
