// @ts-check
/**
 * What was typed and not sent yet stays in its field when an answer brings that part of the page anew.
 * Of the form that was sent the answer says what is in its fields, but for those that were typed in since.
 */

/** @typedef {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} Typable */
/** @typedef {{value: string, start: number | null, end: number | null, about: string}} Typed */

const FIELDS = "input[id]:not([type=hidden], [type=checkbox], [type=radio], [type=file]), textarea[id], select[id]";

/** @type {Map<string, Typed>} */
let typed = new Map();
/** What stood in the fields of a form when it was sent. @type {WeakMap<XMLHttpRequest, Map<Typable, string>>} */
const sent = new WeakMap();

document.addEventListener("htmx:beforeSend", (event) => {
  const { elt, xhr } = /** @type {CustomEvent} */ (event).detail;
  const fields = /** @type {NodeListOf<Typable>} */ (elt.querySelectorAll(FIELDS));
  sent.set(xhr, new Map([...fields].map((field) => [field, field.value])));
});

document.addEventListener("htmx:beforeSwap", (event) => {
  const before = sent.get(/** @type {CustomEvent} */ (event).detail.xhr);
  const fields = /** @type {NodeListOf<Typable>} */ (document.querySelectorAll(FIELDS));
  const changed = [...fields].filter((field) => (before?.has(field) ? field.value !== before.get(field) : differs(field)));
  typed = new Map(changed.map((field) => [field.id, asTyped(field)]));
});

document.addEventListener("htmx:afterSwap", () => {
  for (const [id, { value, start, end, about }] of typed) {
    const field = document.getElementById(id);
    if (!isTypable(field) || field.value === value || aboutWhat(field) !== about) continue;
    field.value = value;
    if (field === document.activeElement && start !== null && !(field instanceof HTMLSelectElement)) {
      field.setSelectionRange(start, end);
    }
  }
});

/** Whether a field holds something else than the page came with. @param {Typable} field */
function differs(field) {
  if (!(field instanceof HTMLSelectElement)) return field.value !== field.defaultValue;
  const given = [...field.options].find((option) => option.defaultSelected) ?? field.options[0];
  return given !== undefined && field.value !== given.value;
}

/** @param {Typable} field @returns {Typed} */
function asTyped(field) {
  const { value } = field;
  const [start, end] = field instanceof HTMLSelectElement ? [null, null] : [field.selectionStart, field.selectionEnd];
  return { value, start, end, about: aboutWhat(field) };
}

/** The thing that a form is about, where one form serves many: what was typed for one is not another's. @param {Typable} field */
function aboutWhat(field) {
  const on = field.form?.elements.namedItem("on");
  return on instanceof HTMLInputElement ? on.value : "";
}

/** @param {HTMLElement | null} field @returns {field is Typable} */
function isTypable(field) {
  return (
    field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement
  );
}
