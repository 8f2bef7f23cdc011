// @ts-check
/** A photo goes through the outbox: it waits on the device while the network is away. Without script the form is sent. */

import { dropRefused, freshId, put, send } from "./outbox.js";

class PhotoForm extends HTMLElement {
  connectedCallback() {
    const form = this.querySelector("form");
    form?.addEventListener("submit", (event) => {
      const fields = [...new FormData(form)].filter(([, value]) => typeof value === "string" || value.size > 0);
      if (!fields.some(([, value]) => value instanceof File)) return; // the server says what is missing
      event.preventDefault();
      void this.send(form, fields);
    });
  }

  /** @param {HTMLFormElement} form @param {[string, FormDataEntryValue][]} fields */
  async send(form, fields) {
    const id = /** @type {HTMLInputElement} */ (form.elements.namedItem("request_id"));
    const entry = { id: id.value, kind: "photo", boat: this.dataset.boat ?? "", url: form.action, fields };
    try {
      await put(entry);
    } catch {
      form.submit(); // a browser that keeps nothing sends it at once, as without script
      return;
    }
    const taken = (await send()).get(entry.id);
    if (taken) {
      location.assign(`${form.action}/${taken.photo}`);
    } else if (await dropRefused((one) => one.id === entry.id)) {
      form.submit(); // the page that comes says what is wrong beside its field
    } else {
      id.value = freshId();
      for (const field of form.querySelectorAll("input")) if (field.type === "file" || field.name === "caption") field.value = "";
    }
  }
}

customElements.define("photo-form", PhotoForm);
