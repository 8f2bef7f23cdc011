// @ts-check
/**
 * Where the focus goes when what was pressed is gone after its answer: a button or link names it
 * in data-focus-next; so does one whose answer comes into sight elsewhere. A message that refuses a change takes
 * the focus itself, and a field that was refused keeps it. Where the next touch is one in the picture
 * (data-focus-still), the page does not scroll to the focus.
 * Without script the answer is a new page, and the browser begins at its top.
 */

/** @type {WeakMap<XMLHttpRequest, {id: string, preventScroll: boolean}>} */
const next = new WeakMap();
const REFUSED = 400;

document.addEventListener("htmx:beforeRequest", (event) => {
  const { elt, requestConfig, xhr } = /** @type {CustomEvent} */ (event).detail;
  const pressed = requestConfig?.triggeringEvent?.submitter ?? elt;
  if (!(pressed instanceof HTMLElement || pressed instanceof SVGElement)) return;
  const { focusNext: id, focusStill } = pressed.dataset;
  if (id) next.set(xhr, { id, preventScroll: focusStill !== undefined });
});

document.addEventListener("htmx:afterSettle", (event) => {
  const { xhr } = /** @type {CustomEvent} */ (event).detail;
  if (!xhr) return;
  const refusal = xhr.status === 409 ? document.querySelector("#message [tabindex='-1']") : null;
  const { id = "", preventScroll = false } = next.get(xhr) ?? {};
  const element = refusal ?? (xhr.status < REFUSED ? document.getElementById(id) : null);
  next.delete(xhr);
  if (element instanceof HTMLElement) element.focus({ preventScroll });
});
