// @ts-check
/**
 * One thing after another. While a change is under way, what a hand presses waits, and is pressed on the page that the
 * answer brings, with that page's revision: nothing overtakes a change, and no link leaves before its answer is seen.
 * Where a change is refused or not answered, what waited falls and the message stands. The same pressed twice is once.
 * What the server does not answer is said; pressed again it is never done twice, as its request id is the same.
 */

import { asksByItself } from "./late-answers.js";
import { isSame, press, pressedAgain } from "./pressed-again.js";

/** @typedef {import("./pressed-again.js").Pressed} Pressed */

const DONE = 200;
const REFUSED = 400;
/** After an answer is put in, the page listens within a millisecond (htmx-config in the layout). */
const LISTENS_MS = 10;
const UNANSWERED = "The server did not answer. Press again: nothing is done twice.";
const GONE = "What you pressed last is not there any more, so it was not done. Look, and press again.";

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
  const isKept = elt.closest("waiting-rows") !== null; // it says itself that its row waits
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
  if (change && isSame(pressed, change.pressed)) return;
  waiting = [...waiting.filter((one) => !isSame(one, pressed)), pressed];
}

/** The change has its answer, or has none. @param {XMLHttpRequest} xhr */
function ended(xhr) {
  if (xhr !== change?.xhr) return;
  const pressed = xhr.status >= DONE && xhr.status < REFUSED ? waiting : [];
  [change, waiting] = [null, []];
  if (!pressed.length) return;
  setTimeout(() => {
    if (!pressed.map((one) => one.again()).every(Boolean)) tell(GONE);
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
  if (!place) return;
  place.className = "message-place message";
  place.setAttribute("role", "alert");
  place.textContent = words;
}
