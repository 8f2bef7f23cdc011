// @ts-check
/**
 * Where the focus goes when what was pressed is gone after its answer: a button or link names it
 * in data-focus-next; so does one whose answer comes into sight elsewhere. A message that refuses a change takes
 * the focus itself, and a field that was refused keeps it.
 * Without script the answer is a new page, and the browser begins at its top.
 */

/** @type {WeakMap<XMLHttpRequest, string>} */
const next = new WeakMap();
const REFUSED = 400;

document.addEventListener("htmx:beforeRequest", (event) => {
  const { elt, requestConfig, xhr } = /** @type {CustomEvent} */ (event).detail;
  const pressed = requestConfig?.triggeringEvent?.submitter ?? elt;
  const id = pressed instanceof HTMLElement ? pressed.dataset.focusNext : undefined;
  if (id) next.set(xhr, id);
});

document.addEventListener("htmx:afterSettle", (event) => {
  const { xhr } = /** @type {CustomEvent} */ (event).detail;
  if (!xhr) return;
  const refusal = xhr.status === 409 ? document.querySelector("#message [tabindex='-1']") : null;
  const element = refusal ?? (xhr.status < REFUSED ? document.getElementById(next.get(xhr) ?? "") : null);
  next.delete(xhr);
  if (element instanceof HTMLElement) element.focus();
});
