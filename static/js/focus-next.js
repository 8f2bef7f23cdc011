// @ts-check
/**
 * Where the focus goes when what was pressed is gone after its answer: a button or link names it
 * in data-focus-next. Without script the answer is a new page, and the browser begins at its top.
 */

/** @type {string | undefined} */
let next;

document.addEventListener("htmx:beforeRequest", (event) => {
  const { elt, requestConfig } = /** @type {CustomEvent} */ (event).detail;
  const pressed = requestConfig?.triggeringEvent?.submitter ?? elt;
  next = pressed instanceof HTMLElement ? pressed.dataset.focusNext : undefined;
});

document.addEventListener("htmx:afterSettle", () => {
  const element = next ? document.getElementById(next) : null;
  if (!element) return;
  next = undefined;
  element.focus();
});
