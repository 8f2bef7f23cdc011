// @ts-check
/**
 * An answer that comes for something that is not on the page any more is discarded: what took its place has asked, or
 * was answered, anew. Of two that a hand asked for in the same place the later one counts. The event of an element that
 * is gone does not reach the document, so it is caught at the element itself.
 * A change is never discarded: its answer goes to what has the place now.
 * And nothing takes a form away while its change is being made: the answer to the change could not find its places then.
 * It brings anew whatever the page asked for by itself.
 * Nor does such a part bring another picture under a lead in the hand: with the put-down or the put-back a new one comes.
 */

/** Whether the answer that is being put in was asked for by the page itself. */
let byItself = false;
/** What a hand asked for last, by the id of its place. @type {Map<string, XMLHttpRequest>} */
const last = new Map();

document.addEventListener("htmx:beforeSend", (event) => {
  const { elt, target, xhr } = /** @type {CustomEvent} */ (event).detail;
  if (!(target instanceof Element)) return;
  if (!asksByItself(elt)) last.set(target.id, xhr);
  const seen = new AbortController();
  target.addEventListener("htmx:beforeSwap", (/** @type {Event} */ swap) => {
    if (/** @type {CustomEvent} */ (swap).detail.xhr !== xhr) return;
    seen.abort();
    discardLate(swap, target);
  }, { signal: seen.signal });
});

document.addEventListener("htmx:beforeSwap", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  const { elt, verb } = detail.requestConfig;
  byItself = asksByItself(elt);
  if (verb === "get" && takesAwayAChange(detail.xhr.responseText)) detail.shouldSwap = false;
});

document.addEventListener("htmx:oobBeforeSwap", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  const held = document.querySelector("#taps[data-part]:not([data-part=''])");
  if (byItself && held && detail.target.querySelector("#diagram, #tap-answers")) detail.shouldSwap = false;
});

/** @param {Event} event @param {Element} place where the answer was to go when it was asked for */
function discardLate(event, place) {
  const { detail } = /** @type {CustomEvent} */ (event);
  const { elt, verb } = detail.requestConfig;
  const isThere = document.contains(detail.target);
  if (verb !== "get") {
    if (!isThere) detail.target = document.getElementById(place.id);
    detail.shouldSwap &&= detail.target !== null;
  } else if (!isThere || (place.id && !asksByItself(elt) && last.get(place.id) !== detail.xhr)) {
    detail.shouldSwap = false;
  }
}

/** Whether a part of the page asks for itself, with no hand. @param {unknown} asker */
export function asksByItself(asker) {
  return asker instanceof Element && (asker.getAttribute("hx-trigger")?.includes("load") ?? false);
}

/** Whether an answer would swap what holds a form that has been sent and not been answered. @param {string} answer */
function takesAwayAChange(answer) {
  let holder = document.querySelector("form[hx-post].htmx-request");
  while (holder) {
    if (holder.id && answer.includes(`id="${holder.id}"`)) return true;
    holder = holder.parentElement;
  }
  return false;
}
