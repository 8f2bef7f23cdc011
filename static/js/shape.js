// @ts-check
/**
 * Which picture the server draws: wide with both polarities, or on a narrow upright screen one polarity at full width.
 * Two cookies tell it; without script the picture is the wide one.
 */

import { submit } from "./answer-bar.js";

const NARROW = matchMedia("screen and (orientation: portrait) and (max-width: 1000px)");
/** The pick-ups by the last word of their addresses, which names their forms as well. */
const PICK_UPS = ["pick-up", "pick-up-both"];
const A_YEAR_S = 31536000;

/** Whether the picture is being fetched in a new shape. */
let drawing = false;
/** Whether a change was made before the new shape had come. */
let overtaken = false;
/** What the picture has turned to last. */
let meant = "";
/** What a hand asked to pick up meanwhile: an answer for the old picture would not fit the new one. @type {{form: string, values: Record<string, string>} | null} */
let asked = null;

/** Tell the server how the screen is held, and have the picture drawn anew where that has changed. */
export function watchShape() {
  NARROW.addEventListener("change", follow);
  document.addEventListener("htmx:beforeRequest", wait);
  for (const end of ["htmx:afterSettle", "htmx:responseError", "htmx:sendError", "htmx:timeout"]) {
    document.addEventListener(end, drawn);
  }
  document.addEventListener("htmx:beforeSwap", letPass);
  document.addEventListener("htmx:afterRequest", () => {
    if (overtaken) follow();
  });
  document.addEventListener("htmx:afterSettle", follow);
  document.addEventListener("htmx:afterSettle", offerOther);
  document.addEventListener("htmx:afterSettle", turnToWhatIsMeant);
  document.getElementById("turn-over")?.addEventListener("click", () => {
    turnTo(document.querySelector("#diagram .turn")?.getAttribute("data-side") ?? "");
  });
  offerOther();
  if (document.readyState === "complete") follow();
  else addEventListener("load", follow, { once: true });
}

/** Where one polarity is left out, a button beside the picture brings it, wherever the picture has been moved to. */
function offerOther() {
  const button = document.getElementById("turn-over");
  const side = document.querySelector("#diagram .turn")?.getAttribute("data-side");
  if (!button) return;
  button.hidden = !side;
  button.textContent = `Show the ${side} side`;
}

/** What was touched or changed is on the side that is left out: the picture turns to it, once. */
function turnToWhatIsMeant() {
  const { calls = "", about = "" } = document.getElementById("diagram-place")?.dataset ?? {};
  if (drawing || !about || about === meant || document.querySelector("#taps[data-part]:not([data-part=''])")) return;
  meant = about;
  if (calls && document.querySelector("#diagram .turn")?.getAttribute("data-side") === calls) turnTo(calls);
}

/** Show the other polarity on a narrow screen. @param {string} side */
export function turnTo(side) {
  if (keep("side", side)) submit("shape-form", {});
}

/** Remember the polarity that is shown, with nothing drawn anew. @param {string} side */
export function stayOn(side) {
  keep("side", side);
}

/**
 * Draw anew once nothing that a hand asked for is being fetched. Parts that the page asks for by itself are not
 * waited for: their answers are discarded where their place is gone, and the new page asks for them again.
 */
function follow() {
  if (matchMedia("print").matches || document.querySelector(".htmx-request:not([hx-trigger*='load'])")) return;
  const held = document.querySelector("#taps[data-part]:not([data-part=''])");
  const shape = NARROW.matches ? "portrait" : "landscape";
  if (!held && (keep("shape", shape) || overtaken)) {
    [drawing, overtaken] = [true, false];
    submit("shape-form", {});
  } else document.getElementById("scene")?.setAttribute("data-shape", shape);
}

/**
 * Hold back a pick-up until the new picture is there. A change goes first, as the new picture would take its form
 * away, and the shape is asked for again after it.
 * @param {Event} event
 */
function wait(event) {
  const { pathInfo, requestConfig } = /** @type {CustomEvent} */ (event).detail;
  if (drawing && requestConfig.verb !== "get") {
    overtaken = true;
    return;
  }
  const { pathname, searchParams } = new URL(pathInfo.finalRequestPath, location.href);
  const form = pathname.slice(pathname.lastIndexOf("/") + 1);
  if (!drawing || !PICK_UPS.includes(form)) return;
  event.preventDefault();
  const [part, terminal] = [searchParams.get("part") ?? "", searchParams.get("terminal") ?? ""];
  asked = { form, values: { part, terminal } };
}

/** A picture that a change has overtaken is not put in: it would take the form of that change away. @param {Event} event */
function letPass(event) {
  const { detail } = /** @type {CustomEvent} */ (event);
  if (overtaken && detail.requestConfig.elt.id === "shape-form") detail.shouldSwap = false;
}

/** The new picture has come, or will not come: what was asked meanwhile is asked now. @param {Event} event */
function drawn(event) {
  if (!drawing || !(event.target instanceof Element) || !event.target.closest("#diagram-place, #results, #shape-form")) return;
  drawing = false;
  if (asked) submit(asked.form, asked.values);
  asked = null;
}

/** Keep a value in a cookie; answers whether it is new and was really kept. @param {string} name @param {string} value */
function keep(name, value) {
  if (kept(name) === value || (kept(name) === undefined && value === "landscape")) return false;
  document.cookie = `${name}=${value}; path=/; max-age=${A_YEAR_S}; samesite=lax`;
  return kept(name) === value;
}

/** @param {string} name */
function kept(name) {
  const pair = document.cookie.split("; ").find((one) => one.startsWith(`${name}=`));
  return pair?.slice(name.length + 1);
}
