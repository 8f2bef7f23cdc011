// @ts-check
/**
 * What was typed and not sent yet stays in its field when an answer brings that part of the page anew.
 * The form that was sent is left alone: its answer says what is in its fields.
 */

/** @typedef {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} Typable */
/** @typedef {{value: string, start: number | null, end: number | null}} Typed */

const FIELDS = "input[id]:not([type=hidden], [type=checkbox], [type=radio], [type=file]), textarea[id], select[id]";

/** @type {Map<string, Typed>} */
let typed = new Map();

document.addEventListener("htmx:beforeSwap", (event) => {
  const sent = /** @type {CustomEvent} */ (event).detail.requestConfig.elt;
  const fields = /** @type {NodeListOf<Typable>} */ (document.querySelectorAll(FIELDS));
  const changed = [...fields].filter((field) => differs(field) && !(sent instanceof Element && sent.contains(field)));
  typed = new Map(changed.map((field) => [field.id, asTyped(field)]));
});

document.addEventListener("htmx:afterSwap", () => {
  for (const [id, { value, start, end }] of typed) {
    const field = document.getElementById(id);
    if (!isTypable(field) || field.value === value) continue;
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
  if (field instanceof HTMLSelectElement) return { value: field.value, start: null, end: null };
  return { value: field.value, start: field.selectionStart, end: field.selectionEnd };
}

/** @param {HTMLElement | null} field @returns {field is Typable} */
function isTypable(field) {
  return (
    field instanceof HTMLInputElement || field instanceof HTMLTextAreaElement || field instanceof HTMLSelectElement
  );
}
