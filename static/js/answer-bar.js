// @ts-check
/** What a carried lead would bring, in two lines at the edge away from the finger, and spoken once it has settled. */

const SPEAK_MS = 300;

let speaking = 0;

/** Two lines on the bar at once; read out when they have settled. @param {string} first @param {string} second */
export function say(first, second) {
  write("answer-line-1", first);
  write("answer-line-2", second);
  clearTimeout(speaking);
  speaking = setTimeout(() => write("answer-spoken", `${first} ${second}`), SPEAK_MS);
}

/** Keep the bar away from the finger. @param {boolean} atBottom */
export function barAtBottom(atBottom) {
  document.getElementById("answer-bar")?.classList.toggle("at-bottom", atBottom);
}

/** @param {string} id @param {boolean} shown */
export function show(id, shown) {
  const element = document.getElementById(id);
  if (element) element.hidden = !shown;
}

/**
 * Fill a form of the page and send it; the form keeps which fields were filled, for where it has to wait (in-turn.js).
 * @param {string} id @param {Record<string, string>} values
 */
export function submit(id, values) {
  const form = document.getElementById(id);
  if (!(form instanceof HTMLFormElement)) return;
  form.dataset.filled = Object.keys(values).join(" ");
  for (const [name, value] of Object.entries(values)) {
    const field = form.elements.namedItem(name);
    if (field instanceof HTMLInputElement) field.value = value;
  }
  form.requestSubmit();
}

/** @param {string} id @param {string} words */
function write(id, words) {
  const element = document.getElementById(id);
  if (element) element.textContent = words;
}
