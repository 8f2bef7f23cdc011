// @ts-check
/**
 * Rows of a survey wait on the tablet while the network is away.
 *
 * With a network the form goes its usual way, errors beside its fields. Without one, or where the server is not
 * reached, the row goes into the outbox under its request id, so that it is put in once whatever happened, and
 * the form is ready for the next. A row that the server refuses later can be taken back into the form.
 */

import { fieldsIn, isTyped } from "./typed.js";
import { contents, freshId, put, remove, send, whenChanged } from "./outbox.js";

const KIND = "row";
const UNSEEN = ["request_id", "show"];

class WaitingRows extends HTMLElement {
  #stop = () => {};
  #waited = 0;

  connectedCallback() {
    this.addEventListener("submit", (event) => this.submitted(event), { capture: true });
    for (const lost of ["htmx:sendError", "htmx:timeout"]) this.addEventListener(lost, (event) => this.lost(event));
    this.#stop = whenChanged((now) => this.changed(now));
  }

  disconnectedCallback() {
    this.#stop();
  }

  get form() {
    return /** @type {HTMLFormElement} */ (this.querySelector("#survey-form"));
  }

  /** @param {string} name */
  field(name) {
    return /** @type {HTMLInputElement} */ (this.form.elements.namedItem(name));
  }

  /** @param {Event} event */
  submitted(event) {
    if (event.target !== this.form || navigator.onLine) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    void this.keep();
  }

  /** A new row that was not heard is kept, and what was typed since stays; a change of what is there cannot wait. @param {Event} event */
  lost(event) {
    const { formData } = /** @type {CustomEvent} */ (event).detail.requestConfig;
    if (event.target === this.form) void this.keep(formData, [...fieldsIn(this.form)].filter(isTyped));
    else this.tell("The network is away: a new row can wait here, but this needs it. Nothing was changed.");
  }

  /**
   * Put the row of the form into the outbox and make the form ready for the next.
   * @param {FormData} row @param {Element[]} since fields that were typed in after the row was sent
   */
  async keep(row = new FormData(this.form), since = []) {
    /** @type {[string, string][]} */
    const fields = [...row].map(([name, value]) => [name, String(value)]);
    if (!fields.some(([name, value]) => !UNSEEN.includes(name) && value.trim())) return;
    const id = String(row.get("request_id"));
    try {
      await put({ id, kind: KIND, boat: this.dataset.boat ?? "", url: this.form.action, fields });
    } catch {
      this.tell("This browser keeps nothing on the device: leave the row here, and put it in when the network is back.");
      return;
    }
    this.next(since);
    if (navigator.onLine) await send();
  }

  /** @param {string} words */
  tell(words) {
    const place = document.getElementById("survey-told");
    if (place) place.textContent = words;
  }

  /** An empty row: what usually stays, and the next number. @param {Element[]} since fields that stay as they are */
  next(since) {
    const kept = (this.dataset.kept ?? "").split(" ");
    const number = this.field("number").value.trim();
    for (const input of this.form.querySelectorAll("input:not([type=hidden])")) {
      const one = /** @type {HTMLInputElement} */ (input);
      if (!kept.includes(one.name) && !since.includes(one)) one.value = "";
    }
    if (/^\d{1,9}$/.test(number) && !since.includes(this.field("number"))) this.field("number").value = String(Number(number) + 1);
    this.field("request_id").value = freshId();
    this.field("what").focus();
  }

  /** @param {{ waiting: import("./outbox.js").Entry[], refused: import("./outbox.js").Entry[] }} now */
  changed(now) {
    const own = (/** @type {import("./outbox.js").Entry} */ one) => one.kind === KIND && one.boat === this.dataset.boat;
    const waiting = now.waiting.filter(own).length;
    this.offer(now.refused.filter(own));
    if (waiting < this.#waited && !waiting) void this.refresh();
    this.#waited = waiting;
  }

  /** The rows that are there now, without touching the row that is being written. */
  async refresh() {
    const page = await fetch(location.href).catch(() => null);
    if (!page?.ok) return;
    const fresh = new DOMParser().parseFromString(await page.text(), "text/html");
    const parts = this.querySelector("#survey-mend") ? ["survey-terminals", "survey-title"] : ["survey-list"];
    for (const id of parts) {
      const [old, now] = [document.getElementById(id), fresh.getElementById(id)];
      if (!old || !now) continue;
      old.replaceWith(now);
      /** @type {any} */ (window).htmx.process(now);
    }
  }

  /** A button for each refused row, which takes it back into the form. @param {import("./outbox.js").Entry[]} refused */
  offer(refused) {
    let place = this.querySelector(".waiting-mend");
    if (!place) {
      place = document.createElement("div");
      place.className = "waiting-mend";
      this.prepend(place);
    }
    place.replaceChildren(...refused.map((entry) => this.mendButton(entry)));
  }

  /** @param {import("./outbox.js").Entry} entry */
  mendButton(entry) {
    const button = document.createElement("button");
    const fields = new Map(entry.fields);
    button.type = "button";
    button.className = "plain";
    button.textContent = `Mend row ${fields.get("number") || fields.get("what") || ""}`.trim();
    button.addEventListener("click", () => void this.takeBack(entry));
    return button;
  }

  /** @param {import("./outbox.js").Entry} entry */
  async takeBack(entry) {
    for (const [name, value] of entry.fields) this.field(name).value = String(value);
    this.field("request_id").value = freshId();
    this.field("what").focus();
    await remove(entry);
  }
}

customElements.define("waiting-rows", WaitingRows);
