// @ts-check
/**
 * An event in time takes the place of the one before: what was folded open stays open.
 * One that was asked for before the last change is discarded when it comes after it:
 * the change has put another asker in the place of the one that asked.
 */

/** @type {Map<string, boolean>} */
const folds = new Map();

document.addEventListener("htmx:beforeSwap", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  if (detail.target?.id !== "event-strip") return;
  if (!document.contains(detail.requestConfig.elt)) detail.shouldSwap = false;
  for (const fold of detail.target.querySelectorAll("details[id]")) folds.set(fold.id, fold.open);
});

document.addEventListener("htmx:afterSwap", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  if (detail.target?.id !== "event-strip") return;
  for (const fold of document.querySelectorAll("#event-strip details[id]")) {
    if (fold instanceof HTMLDetailsElement) fold.open = folds.get(fold.id) ?? fold.open;
  }
});

export {}; // a module: its names are its own
