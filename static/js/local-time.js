// @ts-check
/**
 * Moments are told by the clock of the device. Without script they stay as the server says them, in UTC.
 * What is marked with `data-utc` holds such moments in its text; a history is parted by the device's own days.
 */

const MOMENT = /(\d{4}-\d\d-\d\d) (\d\d:\d\d) UTC/g;

showIn(document);
document.addEventListener("htmx:load", (event) => showIn(/** @type {Element} */ (event.target)));

/** @param {Document | Element} part */
function showIn(part) {
  const marked = [...part.querySelectorAll("[data-utc]")];
  if (part instanceof Element && part.matches("[data-utc]")) marked.push(part);
  for (const one of marked) tellLocally(one);
  for (const history of part.querySelectorAll(".history")) partByDays(history);
}

/** @param {Element} marked */
function tellLocally(marked) {
  const walker = document.createTreeWalker(marked, NodeFilter.SHOW_TEXT);
  for (let text = walker.nextNode(); text; text = walker.nextNode()) {
    const said = text.nodeValue ?? "";
    const told = said.replace(MOMENT, (_, day, clock) => {
      const at = new Date(`${day}T${clock}Z`);
      return `${dayOf(at)} ${clockOf(at)}`;
    });
    if (told !== said) text.nodeValue = told;
  }
}

/** Part the revisions by days anew, as a day of the device is another one than a day in UTC. @param {Element} history */
function partByDays(history) {
  const heading = history.querySelector(".history-day");
  const list = history.querySelector(".history-list");
  const end = [...history.querySelectorAll(".history-list")].at(-1)?.nextElementSibling ?? null;
  if (!heading || !list) return;
  const old = history.querySelectorAll(".history-day, .history-list");
  const rows = history.querySelectorAll(".past");
  let day = "";
  let under = list;
  for (const row of rows) {
    const time = /** @type {HTMLTimeElement} */ (row.querySelector("time"));
    const at = new Date(time.dateTime);
    time.textContent = clockOf(at);
    if (dayOf(at) !== day) {
      day = dayOf(at);
      const title = /** @type {Element} */ (heading.cloneNode());
      title.textContent = day;
      under = /** @type {Element} */ (list.cloneNode());
      history.insertBefore(title, end);
      history.insertBefore(under, end);
    }
    under.append(row);
  }
  for (const one of old) one.remove();
}

/** @param {Date} at */
function dayOf(at) {
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/** @param {Date} at */
function clockOf(at) {
  return `${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** @param {number} value */
function two(value) {
  return String(value).padStart(2, "0");
}
