// @ts-check
/**
 * What was typed and not sent yet stays in its field when an answer brings that part of the page anew.
 * Of a form that was sent the answer says what is in its fields, but for those that were typed in since.
 */

/** @typedef {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} Typable */
/** @typedef {{value: string, start: number | null, end: number | null, about: string}} Typed */

const FIELDS = "input[id]:not([type=hidden], [type=checkbox], [type=radio], [type=file]), textarea[id], select[id]";
const REFUSED = 400;

/** @type {Map<string, Typed>} */
let typed = new Map();
/** Fields that were typed in since they came or were sent. @type {WeakSet<EventTarget>} */
const touched = new WeakSet();
/** What stood in a field when its form was sent. @type {WeakMap<Typable, string>} */
const sent = new WeakMap();

document.addEventListener("input", ({ target }) => {
  if (target) touched.add(target);
});

document.addEventListener("htmx:beforeSend", (event) => {
  const { elt, xhr } = /** @type {CustomEvent} */ (event).detail;
  areSent(elt);
  xhr.addEventListener("loadend", () => {
    if (!xhr.status || xhr.status >= REFUSED) for (const field of fieldsIn(elt)) sent.delete(field);
  });
});

document.addEventListener("htmx:beforeSwap", () => {
  typed = new Map([...fieldsIn(document)].filter(isTyped).map((field) => [field.id, asTyped(field)]));
});

document.addEventListener("htmx:afterSwap", () => {
  for (const [id, { value, start, end, about }] of typed) {
    const field = document.getElementById(id);
    if (!isTypable(field) || field.value === value || aboutWhat(field) !== about) continue;
    type(field, value);
    if (field === document.activeElement && start !== null && !(field instanceof HTMLSelectElement)) {
      field.setSelectionRange(start, end);
    }
  }
});

/** Whether a field holds what was not sent. @param {Typable} field */
export function isTyped(field) {
  if (touched.has(field)) return true;
  return sent.has(field) ? field.value !== sent.get(field) : differs(field);
}

/** Put into a field what was typed. @param {Typable} field @param {string} value */
export function type(field, value) {
  field.value = value;
  touched.add(field);
}

/** Put into a field what the page came with. @param {Typable} field */
export function untype(field) {
  field.value = field instanceof HTMLSelectElement ? (given(field)?.value ?? "") : field.defaultValue;
  touched.delete(field);
}

/** What stands in the fields of a form goes to the server; what is typed from now on has not been sent. @param {Element} form */
export function areSent(form) {
  for (const field of fieldsIn(form)) {
    sent.set(field, field.value);
    touched.delete(field);
  }
}

/** @param {ParentNode} place */
export function fieldsIn(place) {
  return /** @type {NodeListOf<Typable>} */ (place.querySelectorAll(FIELDS));
}

/** Whether a field holds something else than the page came with. @param {Typable} field */
function differs(field) {
  if (!(field instanceof HTMLSelectElement)) return field.value !== field.defaultValue;
  const option = given(field);
  return option !== undefined && field.value !== option.value;
}

/** The option that the page came with. @param {HTMLSelectElement} field @returns {HTMLOptionElement | undefined} */
function given(field) {
  return [...field.options].find((option) => option.defaultSelected) ?? field.options[0];
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
