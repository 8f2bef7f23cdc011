// @ts-check
/**
 * An answer that comes for something that is not on the page any more is discarded:
 * what took its place has asked, or was answered, anew. The event of an element that is gone
 * does not reach the document, so it is caught at the element itself.
 * And a part that the page asked for by itself never takes a form away while its change is being made:
 * the answer to the change could not find its places then, and brings that part anew.
 * Nor does it bring another picture under a lead in the hand: with the put-down or the put-back a new one comes.
 */

/** Whether the answer that is being put in was asked for by the page itself. */
let byItself = false;

document.addEventListener("htmx:beforeRequest", (event) => {
  const { target, xhr } = /** @type {CustomEvent} */ (event).detail;
  if (!(target instanceof Element)) return;
  const seen = new AbortController();
  target.addEventListener("htmx:beforeSwap", (/** @type {Event} */ swap) => {
    if (/** @type {CustomEvent} */ (swap).detail.xhr !== xhr) return;
    seen.abort();
    discardLate(swap);
  }, { signal: seen.signal });
});

document.addEventListener("htmx:beforeSwap", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  const asker = detail.requestConfig.elt;
  byItself = asker instanceof Element && (asker.getAttribute("hx-trigger")?.includes("load") ?? false);
  if (!byItself) return;
  if (takesAwayAChange(detail.xhr.responseText)) detail.shouldSwap = false;
});

document.addEventListener("htmx:oobBeforeSwap", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  const held = document.querySelector("#taps[data-part]:not([data-part=''])");
  if (byItself && held && detail.target.querySelector("#diagram, #tap-answers")) detail.shouldSwap = false;
});

/** @param {Event} event */
function discardLate(event) {
  const { detail } = /** @type {CustomEvent} */ (event);
  if (!document.contains(detail.target)) detail.shouldSwap = false;
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
