// @ts-check
/**
 * One thing after another. While a change is under way, what a hand presses waits, and is pressed on the page that the
 * answer brings, with that page's revision: nothing overtakes a change, and no link leaves before its answer is seen.
 * Where a change is refused or not answered, what waited is not done, and said with what was typed. The same pressed
 * twice, with nothing typed between, is pressed once.
 * What the server does not answer is said; pressed again it is never done twice, as its request id is the same.
 */

import { asksByItself } from "./late-answers.js";
import { isSame, press, pressedAgain, whatWasTyped } from "./pressed-again.js";

/** @typedef {import("./pressed-again.js").Pressed} Pressed */

const DONE = 200;
const REFUSED = 400;
/** After an answer is put in, the page listens within a millisecond (htmx-config in the layout). */
const LISTENS_MS = 10;
const UNANSWERED = "The server did not answer. Press again: nothing is done twice.";
const NOT_DONE = "What you pressed after it was not done. Look, and press again.";

/** The change that is under way. @type {{xhr: XMLHttpRequest, pressed: Pressed} | null} */
let change = null;
/** What was pressed meanwhile, in order. @type {Pressed[]} */
let waiting = [];

document.addEventListener("htmx:confirm", (event) => {
  const { elt, triggeringEvent, issueRequest } = /** @type {CustomEvent} */ (event).detail;
  if (!change || asksByItself(elt)) return;
  event.preventDefault();
  wait(pressedAgain(elt, triggeringEvent?.submitter, () => issueRequest(true)));
});

document.addEventListener("htmx:beforeSend", (event) => {
  const { elt, xhr, requestConfig } = /** @type {CustomEvent} */ (event).detail;
  if (asksByItself(elt)) return;
  if (requestConfig.verb !== "get") change = { xhr, pressed: pressedAgain(elt, requestConfig.triggeringEvent?.submitter, () => {}) };
  const isKept = elt.matches("waiting-rows #survey-form"); // a row that is not answered waits on the device
  for (const lost of ["error", "timeout"]) xhr.addEventListener(lost, () => isKept || tell(UNANSWERED));
  xhr.addEventListener("loadend", () => ended(xhr));
});

addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a[href]") : null;
  if (!change || !link || event.defaultPrevented || opensBeside(event, link)) return;
  event.preventDefault();
  wait(pressedAgain(link, null, () => press(link)));
});

addEventListener("submit", (event) => {
  const { target: form, submitter } = event;
  if (!change || !(form instanceof HTMLFormElement) || event.defaultPrevented) return;
  event.preventDefault();
  wait(pressedAgain(form, submitter, () => form.requestSubmit(submitter)));
});

/** @param {Pressed} pressed */
function wait(pressed) {
  const before = change ? [change.pressed, ...waiting] : waiting;
  if (!before.some((one) => isSame(pressed, one))) waiting.push(pressed);
}

/** The change has its answer, or has none. @param {XMLHttpRequest} xhr */
function ended(xhr) {
  if (xhr !== change?.xhr) return;
  const isDone = xhr.status >= DONE && xhr.status < REFUSED;
  const pressed = waiting;
  [change, waiting] = [null, []];
  setTimeout(() => {
    const left = pressed.filter((one) => !isDone || !one.again());
    if (left.length) tell([NOT_DONE, ...left.map(whatWasTyped)].join(" "));
  }, LISTENS_MS);
}

/** Whether a link leaves this page where it is. @param {MouseEvent} event @param {Element} link */
function opensBeside(event, link) {
  const elsewhere = link.hasAttribute("download") || link.hasAttribute("target");
  return elsewhere || event.ctrlKey || event.metaKey || event.shiftKey || link.getAttribute("href")?.startsWith("#");
}

/** @param {string} words */
function tell(words) {
  const place = document.getElementById("message");
  const line = document.createElement("p");
  line.setAttribute("role", "alert");
  line.textContent = words;
  place?.classList.add("message");
  place?.append(line);
}
