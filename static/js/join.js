// @ts-check
/** A scanned address carries the join code after "#c=": put it into the form and send the form. */

const code = new URLSearchParams(location.hash.slice(1)).get("c");
const form = document.querySelector("#join-form");
const field = document.querySelector("#join-code");

if (code && form instanceof HTMLFormElement && field instanceof HTMLInputElement) {
  history.replaceState(null, "", location.pathname);
  field.value = code;
  form.requestSubmit();
}
