// @ts-check
/**
 * What was pressed, to be pressed again when a change has been answered: by itself where it still stands, else what has
 * its id by then, with what had been typed and ticked. What was typed after the press is left out, and stays in the fields for the next.
 * Revision and request id are those of the new page. A form that is about something else by then is not sent.
 */

import { areSent, fieldsIn, isTyped, type, untype } from "./typed.js";

/** @typedef {import("./typed.js").Typable} Typable */
/** @typedef {{name: string, kind: string, value: string, checked: boolean, isNew: boolean}} Field `isNew` where a person or a script put it in since the form came or was sent */
/** @typedef {{element: Element, button: string, fields: Field[], again: () => boolean}} Pressed `again` answers whether it could be */

/** What a change may alter unseen without making a form one about something else: its stamp, and what is looked at. */
const MAY_DIFFER = "revision request_id since mode event selected sort order open panels".split(" ");

/**
 * @param {Element} element @param {HTMLElement | null | undefined} button @param {() => void} itself
 * @returns {Pressed}
 */
export function pressedAgain(element, button, itself) {
  const fields = element instanceof HTMLFormElement ? fieldsOf(element) : [];
  areSent(element);
  const ids = [button?.id, element.id].filter(Boolean);
  const again = () => {
    const isThere = document.contains(element);
    const now = isThere ? element : ids.map((id) => document.getElementById(id ?? "")).find(Boolean);
    if (!now) return false;
    const form = now instanceof HTMLFormElement ? now : now instanceof HTMLButtonElement ? now.form : null;
    const since = form ? [...fieldsIn(form)].filter(isTyped).map((field) => ({ field, value: field.value })) : [];
    for (const { field } of since) untype(field);
    const could = !form || couldBeFilled(form, fields);
    if (could && isThere) itself();
    else if (could && now === form) form.requestSubmit();
    else if (could) press(now);
    for (const { field, value } of since) type(field, value);
    return could;
  };
  return { element, button: button?.id ?? "", fields, again };
}

/** Whether a press is one that was made already, by the same button with nothing new in its fields. @param {Pressed} pressed @param {Pressed} before */
export function isSame(pressed, before) {
  const alike = (/** @type {Pressed} */ { button, fields }) =>
    JSON.stringify([button, fields.map(({ value, checked }) => [value, checked])]);
  return pressed.element === before.element && alike(pressed) === alike(before) && !pressed.fields.some(isRetyped);
}

/** What had been typed for a press, to be read and typed again. @param {Pressed} pressed */
export function whatWasTyped({ fields }) {
  const values = fields.filter((one) => isRetyped(one) && one.kind !== "checkbox" && one.kind !== "radio" && one.value);
  return values.length ? `Typed: ${values.map(({ value }) => value).join(", ")}.` : "";
}

/** @param {Field} field */
const isRetyped = ({ kind, isNew }) => isNew && kind !== "hidden";

/** @param {Element} element */
export function press(element) {
  element.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true, view: window }));
}

/** What stands in a form: what it is about, and what a person, or a script for a person, put in. @param {HTMLFormElement} form @returns {Field[]} */
function fieldsOf(form) {
  const filled = (form.dataset.filled ?? "").split(" ");
  return inputs(form)
    .filter(({ name }) => name && !MAY_DIFFER.includes(name))
    .map((input) => {
      const { name, type: kind, value } = input;
      const checked = isTick(input) && input.checked;
      const isNew = kind === "hidden" ? filled.includes(name) : isTick(input) ? checked !== input.defaultChecked : isTyped(input);
      return { name, kind, value, checked, isNew };
    });
}

/** Put into a form what was new in the one before it; a file, and a form about something else, cannot be. @param {HTMLFormElement} form @param {Field[]} fields */
function couldBeFilled(form, fields) {
  return fields.every(({ name, kind, value, checked, isNew }) => {
    const named = inputs(form).filter((one) => one.name === name);
    const alike = named.find((one) => one.value === value);
    if (kind === "file") return !value;
    if (!isNew) return kind !== "hidden" || Boolean(alike);
    if (alike && isTick(alike)) alike.checked = checked;
    else if (named[0] && kind === "hidden") named[0].value = value;
    else if (named[0]) type(named[0], value);
    return named.length > 0;
  });
}

/** @param {Typable} input @returns {input is HTMLInputElement} */
function isTick(input) {
  return input instanceof HTMLInputElement && (input.type === "checkbox" || input.type === "radio");
}

/** @param {HTMLFormElement} form */
function inputs(form) {
  const fields = [...form.elements].filter(
    (one) => one instanceof HTMLInputElement || one instanceof HTMLSelectElement || one instanceof HTMLTextAreaElement,
  );
  return /** @type {Typable[]} */ (fields);
}
