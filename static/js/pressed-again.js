// @ts-check
/**
 * What was pressed, to be pressed again when a change has been answered: by itself where it still stands, else what has
 * its id by then, with what was ticked and what a script wrote in it; typed.js keeps what was typed. Revision and request
 * id are those of the new page. A form that is about something else by then is not sent.
 */

/** @typedef {{name: string, type: string, value: string, checked: boolean}} Field `type` is FILLED where a script wrote it */
/** @typedef {{element: Element, button: string, fields: Field[], again: () => boolean}} Pressed `again` answers whether it could be */

/** What a change may alter unseen without making a form one about something else: its stamp, and what is looked at. */
const MAY_DIFFER = "revision request_id since mode event selected sort order open panels".split(" ");
/** A hidden field that a script wrote before it sent the form (answer-bar.js). */
const FILLED = "filled";

/**
 * @param {Element} element @param {HTMLElement | null | undefined} button @param {() => void} itself
 * @returns {Pressed}
 */
export function pressedAgain(element, button, itself) {
  const fields = element instanceof HTMLFormElement ? fieldsOf(element) : [];
  const ids = [button?.id, element.id].filter(Boolean);
  const again = () => {
    if (document.contains(element)) {
      itself();
      return true;
    }
    const now = ids.map((id) => document.getElementById(id ?? "")).find(Boolean);
    const form = now instanceof HTMLFormElement ? now : now instanceof HTMLButtonElement ? now.form : null;
    if (!now || (form && !couldBeFilled(form, fields))) return false;
    if (now === form) form.requestSubmit();
    else press(now);
    return true;
  };
  return { element, button: button?.id ?? "", fields, again };
}

/** Whether two presses mean the same: the same thing by the same button, with the same in its fields. @param {Pressed} one @param {Pressed} other */
export function isSame(one, other) {
  const alike = (/** @type {Pressed} */ { button, fields }) => JSON.stringify([button, fields]);
  return one.element === other.element && alike(one) === alike(other);
}

/** @param {Element} element */
export function press(element) {
  element.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true, view: window }));
}

/** What a person, or a script for a person, put into a form, and what the form is about. @param {HTMLFormElement} form @returns {Field[]} */
function fieldsOf(form) {
  const filled = (form.dataset.filled ?? "").split(" ");
  return inputs(form)
    .filter(({ name }) => name && !MAY_DIFFER.includes(name))
    .map((input) => {
      const { name, value } = input;
      const type = filled.includes(name) ? FILLED : input.type;
      return { name, type, value, checked: input instanceof HTMLInputElement && input.checked };
    });
}

/** Put into a form what stood in the one before it; a file, and a form about something else, cannot be. @param {HTMLFormElement} form @param {Field[]} fields */
function couldBeFilled(form, fields) {
  return fields.every(({ name, type, value, checked }) => {
    const same = inputs(form).filter((one) => one.name === name);
    const alike = same.find((one) => one.value === value);
    if (type === "file") return !value;
    if (type === "hidden") return Boolean(alike);
    if (type === FILLED && same[0]) same[0].value = value;
    if (type !== "checkbox" && type !== "radio") return same.length > 0;
    if (alike instanceof HTMLInputElement) alike.checked = checked;
    return Boolean(alike);
  });
}

/** @param {HTMLFormElement} form */
function inputs(form) {
  const fields = [...form.elements].filter(
    (one) => one instanceof HTMLInputElement || one instanceof HTMLSelectElement || one instanceof HTMLTextAreaElement,
  );
  return /** @type {(HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement)[]} */ (fields);
}
