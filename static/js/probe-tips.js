// @ts-check
/**
 * Holding the two probes to the picture: drag a tip onto a terminal, or touch the tip and then the terminal.
 * What is sent are the strip's own lists, which the keyboard uses directly.
 */

import { CATCH_PX, place } from "./targets.js";
import { distance, WiringScene } from "./scene.js";

const START_PX = 8;
const MARK_RADIUS = 15;
const SVG = "http://www.w3.org/2000/svg";
/** @type {Record<string, string>} */
const SIGNS = { plus: "+", minus: "−" };

/** @typedef {import("./scene.js").Point} Point */

/** The probe that waits for a terminal. */
let waiting = "";
/** Where the pointer went down, on a tip or in the picture. @type {{pointer: number, at: Point, tip: string, moved: boolean} | null} */
let press = null;
/** Whether the click that follows belongs to a drag that is over. */
let dragged = false;

const scene = document.getElementById("scene");
if (scene instanceof WiringScene) listen(scene);

/** @param {WiringScene} scene */
function listen(scene) {
  document.addEventListener("pointerdown", (event) => down(scene, event), true);
  document.addEventListener("pointermove", (event) => move(scene, event), true);
  document.addEventListener("pointerup", (event) => up(scene, event), true);
  document.addEventListener("pointercancel", () => (press = null), true);
  document.addEventListener("click", pressed, true);
  document.addEventListener("keydown", (event) => event.key === "Escape" && waiting && wait(""));
  document.addEventListener("htmx:afterSettle", () => redraw(scene));
}

/** @param {Event} event @returns {HTMLElement | null} */
function tipOf(event) {
  return event.target instanceof Element ? event.target.closest(".probe-tip") : null;
}

/** @param {WiringScene} scene @param {PointerEvent} event */
function down(scene, event) {
  const tip = tipOf(event);
  const inPicture = waiting && event.target instanceof Node && scene.contains(event.target);
  if (!tip && !inPicture) return;
  press = { pointer: event.pointerId, at: { x: event.clientX, y: event.clientY }, tip: tip?.dataset.probe ?? "", moved: false };
  dragged = false;
  tip?.setPointerCapture(event.pointerId);
}

/** @param {WiringScene} scene @param {PointerEvent} event */
function move(scene, event) {
  if (press?.pointer !== event.pointerId) return;
  const at = { x: event.clientX, y: event.clientY };
  if (distance(at, press.at) >= START_PX) press.moved = true;
  if (!press.moved || !press.tip) return;
  if (waiting !== press.tip) wait(press.tip);
  aim(terminalAt(scene, at));
}

/** @param {WiringScene} scene @param {PointerEvent} event */
function up(scene, event) {
  if (press?.pointer !== event.pointerId) return;
  const { tip, moved } = press;
  press = null;
  dragged = Boolean(tip) && moved;
  if (tip ? !moved : moved) return;
  const terminal = terminalAt(scene, { x: event.clientX, y: event.clientY });
  if (!tip) scene.dispatchEvent(new PointerEvent("pointercancel", { pointerId: event.pointerId }));
  if (terminal) hold(terminal);
  else if (tip) wait("");
}

/** A touched tip waits for its terminal, touched again it does not; a key leads to the list. @param {MouseEvent} event */
function pressed(event) {
  const probe = tipOf(event)?.dataset.probe;
  if (!probe) return;
  event.preventDefault();
  if (dragged) dragged = false;
  else if (event.detail === 0) list(probe)?.focus();
  else wait(waiting === probe ? "" : probe);
}

/** @param {string} probe */
function wait(probe) {
  waiting = probe;
  document.querySelector(".scene-frame")?.toggleAttribute("data-probing", probe !== "");
  for (const tip of document.querySelectorAll(".probe-tip")) {
    tip.setAttribute("aria-pressed", String(tip.getAttribute("data-probe") === probe));
  }
  const told = document.getElementById("probe-told");
  if (told) told.textContent = probe ? `Touch the terminal for the ${probe} probe in the picture.` : "";
  if (!probe) aim(null);
}

/** The terminal nearest to a point of the screen, else one of the load under it. @param {WiringScene} scene @param {Point} at @returns {Element | null} */
function terminalAt(scene, at) {
  let [nearest, least] = [/** @type {Element | null} */ (null), CATCH_PX];
  for (const tap of scene.querySelectorAll("#diagram .tap")) {
    const point = place(tap);
    const gap = point ? distance(scene.toScreen(point.x, point.y), at) : Infinity;
    if (gap < least) [nearest, least] = [tap, gap];
  }
  return nearest ?? document.elementsFromPoint(at.x, at.y).map((one) => one.closest("#diagram .rung[data-part]")).find(Boolean) ?? null;
}

/** @param {Element | null} terminal */
function aim(terminal) {
  for (const one of document.querySelectorAll(".probe-aim")) one.classList.remove("probe-aim");
  terminal?.classList.add("probe-aim");
}

/** Hold the waiting probe to a terminal; both held, they read. @param {Element} terminal */
function hold(terminal) {
  const lists = { plus: list("plus"), minus: list("minus") };
  const chosen = waiting === "plus" ? lists.plus : lists.minus;
  if (!chosen || !lists.plus || !lists.minus) return;
  chosen.value = offered(chosen, terminal, waiting === "minus");
  wait(!lists.plus.value ? "plus" : !lists.minus.value ? "minus" : "");
  if (scene instanceof WiringScene) redraw(scene);
  if (lists.plus.value && lists.minus.value) chosen.form?.requestSubmit();
}

/** The list's own name for a terminal: itself, else another of its part, of a load the one of that polarity. @param {HTMLSelectElement} chosen @param {Element} terminal @param {boolean} negative */
function offered(chosen, terminal, negative) {
  const { part, terminal: name } = /** @type {SVGElement} */ (terminal).dataset;
  const ofPart = [...chosen.options].map((option) => option.value).filter((value) => value.startsWith(`${part}.`));
  if (ofPart.includes(`${part}.${name}`)) return `${part}.${name}`;
  return ofPart.find((value) => value.endsWith("negative") === negative) ?? ofPart[0] ?? "";
}

/** @param {string} probe @returns {HTMLSelectElement | null} */
function list(probe) {
  const found = document.getElementById(`event-${probe}`);
  return found instanceof HTMLSelectElement ? found : null;
}

/** Mark in the picture where the probes are held. @param {WiringScene} scene */
function redraw(scene) {
  for (const mark of scene.querySelectorAll(".probe-mark")) mark.remove();
  for (const [probe, sign] of Object.entries(SIGNS)) {
    const [part, terminal] = (list(probe)?.value ?? "").split(".");
    const at = place(document.getElementById(`tap-${part}--${terminal}`));
    if (!at || !scene.diagram) continue;
    const mark = document.createElementNS(SVG, "g");
    mark.setAttribute("class", "probe-mark");
    mark.setAttribute("transform", `translate(${at.x} ${at.y})`);
    const [disc, text] = [document.createElementNS(SVG, "circle"), document.createElementNS(SVG, "text")];
    disc.setAttribute("r", String(MARK_RADIUS));
    text.textContent = sign;
    mark.append(disc, text);
    scene.diagram.append(mark);
  }
}
