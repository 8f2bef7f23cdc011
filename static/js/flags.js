// @ts-check
/** The figures at a held lead's targets keep inside the pane: each slides along until it touches its pole's other side. */

const INSIDE_PX = 8;
const OVERHANG = 14;

/** @typedef {import("./scene.js").WiringScene} WiringScene */

/** @param {WiringScene} scene */
export function keepFlagsInSight(scene) {
  const pane = scene.getBoundingClientRect();
  const low = scene.toDrawing({ x: pane.left + INSIDE_PX, y: pane.top }).x;
  const high = scene.toDrawing({ x: pane.right - INSIDE_PX, y: pane.top }).x;
  for (const flag of /** @type {NodeListOf<SVGElement>} */ (scene.querySelectorAll("#tap-answers .figure"))) {
    const [pole, left, right] = [flag.dataset.x, flag.dataset.left, flag.dataset.right].map(Number);
    const wanted = Math.max(low - left, Math.min(0, high - right));
    const most = [pole - OVERHANG - left, pole + OVERHANG - right];
    const slide = Math.min(Math.max(wanted, Math.min(0, ...most)), Math.max(0, ...most));
    flag.setAttribute("transform", `translate(${slide} 0)`);
  }
}
