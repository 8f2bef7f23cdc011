// @ts-check
/**
 * The corners of a zone on the plan: added by touches, dragged, moved by arrow keys, taken out.
 *
 * The field with one corner a line is what counts and what is saved; the shape on the plan shows what stands in it.
 */

const SVG = "http://www.w3.org/2000/svg";
const TOUCH_R = 26;
const DOT_R = 9;
const SLOP_PX = 8;
const STEP_M = 0.1;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** @typedef {[number, number]} Corner metres from the bow, and to starboard */

let chosen = -1;
/** @type {{index: number, pointer: number, x: number, y: number, moved: boolean} | null} */
let held = null;
let swallow = false;

function field() {
  const found = document.getElementById("plan-corners");
  return found instanceof HTMLTextAreaElement ? found : null;
}

function plan() {
  const found = document.querySelector("plan-places");
  return found instanceof HTMLElement ? found : null;
}

function picture() {
  const found = plan()?.querySelector("svg");
  return found instanceof SVGSVGElement ? found : null;
}

/** @param {string} line @returns {Corner | null} */
function cornerOf(line) {
  const figures = line.split(/[;\t]|,\s|\s+(?=[-−+\d])/u).filter((text) => text.trim());
  const [x, y] = figures.map((text) => Number(text.replace(/m\s*$/u, "").replace(",", ".").replace("−", "-")));
  return figures.length === 2 && Number.isFinite(x) && Number.isFinite(y) ? [x, y] : null;
}

/** The corners as they stand in the field; lines that cannot be read yet are left out. @returns {Corner[]} */
function corners() {
  return (field()?.value ?? "").split("\n").map(cornerOf).filter((one) => one !== null);
}

/** @param {Corner[]} all */
function keep(all) {
  const lines = field();
  if (!lines) return;
  lines.value = all.map(([x, y]) => `${rounded(Math.max(0, x))}; ${rounded(y)}`).join("\n");
  draw();
}

/** @param {number} metres */
function rounded(metres) {
  return String(Math.round(metres * 100) / 100 + 0);
}

/** @param {MouseEvent} event @returns {Corner | null} */
function metresAt(event) {
  const svg = picture();
  const matrix = svg?.getScreenCTM();
  if (!svg || !matrix) return null;
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  const { scale, left, middle } = svg.dataset;
  return [(at.x - Number(left)) / Number(scale), (Number(middle) - at.y) / Number(scale)];
}

/** @param {string} tag @param {Record<string, string | number>} attributes @param {Element} parent */
function add(tag, attributes, parent) {
  const child = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) child.setAttribute(name, String(value));
  return parent.appendChild(child);
}

/** Draw what stands in the field, keeping the focus where it is. */
function draw() {
  const svg = picture();
  const focused = document.activeElement?.id ?? "";
  document.getElementById("plan-corner-shape")?.remove();
  const all = corners();
  chosen = Math.min(chosen, all.length - 1);
  const out = document.getElementById("plan-corner-out");
  if (out instanceof HTMLButtonElement) out.disabled = chosen < 0;
  if (!svg || !field()) return;
  const { scale, left, middle } = svg.dataset;
  const placed = all.map(([x, y]) => [Number(left) + x * Number(scale), Number(middle) - y * Number(scale)]);
  const group = add("g", { id: "plan-corner-shape" }, svg);
  add("polygon", { class: "plan-corners-shape", points: placed.map((at) => at.join(",")).join(" ") }, group);
  placed.forEach(([x, y], index) => drawHandle(group, index, x, y, all[index]));
  if (focused.startsWith("plan-corner-at-")) document.getElementById(focused)?.focus({ preventScroll: true });
}

/**
 * @param {Element} group
 * @param {number} index
 * @param {number} x
 * @param {number} y
 * @param {Corner} corner
 */
function drawHandle(group, index, x, y, corner) {
  const said = `Corner ${index + 1}: ${rounded(corner[0])} m from the bow, ${rounded(corner[1])} m to starboard`;
  const attributes = {
    class: index === chosen ? "plan-corner chosen" : "plan-corner",
    id: `plan-corner-at-${index}`,
    role: "button",
    tabindex: 0,
    "aria-label": said,
    "aria-pressed": String(index === chosen),
  };
  const handle = add("g", attributes, group);
  add("circle", { class: "plan-touch", cx: x, cy: y, r: TOUCH_R }, handle);
  add("circle", { class: "plan-corner-dot", cx: x, cy: y, r: DOT_R }, handle);
}

/** @param {string} words */
function tell(words) {
  const told = document.getElementById("plan-corners-told");
  if (told) told.textContent = words;
}

function told() {
  const count = corners().length;
  tell(`${count} ${count === 1 ? "corner" : "corners"}. Save to keep them.`);
}

/** @param {Element | null} element */
function handleOf(element) {
  const handle = element?.closest(".plan-corner");
  return handle ? Number(handle.id.slice("plan-corner-at-".length)) : -1;
}

function takeOut() {
  if (chosen < 0) return;
  keep(corners().filter((_, index) => index !== chosen));
  told();
}

/** @param {number} index */
function choose(index) {
  chosen = index;
  draw();
}

function armed() {
  return plan()?.dataset.corners !== undefined;
}

/** @param {boolean} on */
function arm(on) {
  const drawing = plan();
  if (!drawing) return;
  if (on) drawing.dataset.corners = "";
  else delete drawing.dataset.corners;
  document.getElementById("plan-corners-touch")?.setAttribute("aria-pressed", String(on));
  if (on) {
    chosen = corners().length - 1;
    draw();
    tell("Touch the plan at each corner in turn; a new one comes after the one that is filled.");
    drawing.scrollIntoView({ block: "nearest" });
  }
}

document.addEventListener(
  "pointerdown",
  (event) => {
    swallow = false;
    const target = /** @type {Element} */ (event.target);
    const index = handleOf(target);
    if (event.button !== 0 || (index < 0 && !(armed() && target.closest("plan-places")))) return;
    event.stopPropagation();
    if (index < 0) return;
    held = { index, pointer: event.pointerId, x: event.clientX, y: event.clientY, moved: false };
  },
  true,
);

document.addEventListener("pointermove", (event) => {
  if (!held || event.pointerId !== held.pointer) return;
  if (!held.moved && Math.hypot(event.clientX - held.x, event.clientY - held.y) < SLOP_PX) return;
  const at = metresAt(event);
  if (!at) return;
  if (!held.moved) plan()?.setPointerCapture(held.pointer);
  held.moved = true;
  chosen = held.index;
  keep(corners().map((one, index) => (index === held?.index ? at : one)));
});

document.addEventListener("pointerup", (event) => {
  if (!held || event.pointerId !== held.pointer) return;
  swallow = held.moved;
  if (held.moved) told();
  held = null;
});

document.addEventListener("pointercancel", () => {
  held = null;
});

document.addEventListener(
  "click",
  (event) => {
    const target = /** @type {Element} */ (event.target);
    if (target.closest("#plan-corners-touch")) return arm(!armed());
    if (target.closest("#plan-corner-out")) return takeOut();
    const index = handleOf(target);
    const at = armed() && target.closest("plan-places") ? metresAt(event) : null;
    if (!swallow && index < 0 && !at) return;
    event.preventDefault();
    event.stopPropagation();
    if (swallow) swallow = false;
    else if (index >= 0) choose(index);
    else if (at) addAfterChosen(at);
  },
  true,
);

/** @param {Corner} at */
function addAfterChosen(at) {
  const all = corners();
  const place = chosen < 0 ? all.length : chosen + 1;
  chosen = place;
  keep([...all.slice(0, place), at, ...all.slice(place)]);
  told();
}

document.addEventListener(
  "keydown",
  (event) => {
    const index = handleOf(/** @type {Element} */ (event.target));
    const way = ARROWS[/** @type {keyof typeof ARROWS} */ (event.key)];
    if (event.key === "Escape" && armed()) arm(false);
    if (index < 0) return;
    if (event.key === "Enter" || event.key === " ") choose(index);
    else if (event.key === "Delete" || event.key === "Backspace") {
      chosen = index;
      takeOut();
    } else if (way) {
      const step = (event.shiftKey ? 5 : 1) * STEP_M;
      chosen = index;
      keep(corners().map(([x, y], n) => (n === index ? [x + way[0] * step, y + way[1] * step] : [x, y])));
      told();
    } else return;
    event.preventDefault();
  },
  true,
);

document.addEventListener("input", (event) => {
  if (event.target === field()) draw();
});

document.addEventListener("htmx:afterSettle", () => {
  chosen = -1;
  held = null;
  draw();
});

draw();
