// @ts-check
/**
 * An event in time that was asked for before the last change is discarded when it comes after it:
 * the change has put another asker in the place of the one that asked.
 */

document.addEventListener("htmx:beforeSwap", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  if (detail.target?.id === "event-strip" && !document.contains(detail.requestConfig.elt)) detail.shouldSwap = false;
});
