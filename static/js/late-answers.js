// @ts-check
/**
 * An answer that comes for something that is not on the page any more is discarded:
 * what took its place has asked, or was answered, anew. The event of an element that is gone
 * does not reach the document, so it is caught at the element itself.
 */

document.addEventListener("htmx:beforeRequest", (event) => {
  const { target } = /** @type {CustomEvent} */ (event).detail;
  if (target instanceof Element) target.addEventListener("htmx:beforeSwap", discardLate, { once: true });
});

/** @param {Event} event */
function discardLate(event) {
  const { detail } = /** @type {CustomEvent} */ (event);
  if (!document.contains(detail.target)) detail.shouldSwap = false;
}
