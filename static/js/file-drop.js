// @ts-check
/** Drop a boat file on the form that takes it in: it lands in the file field, and the form is sent. */

class FileDrop extends HTMLElement {
  connectedCallback() {
    this.addEventListener("dragover", (event) => this.over(event));
    this.addEventListener("dragleave", () => this.removeAttribute("data-over"));
    this.addEventListener("drop", (event) => this.drop(event));
  }

  /** @param {DragEvent} event */
  over(event) {
    if (!event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    this.setAttribute("data-over", "");
  }

  /** @param {DragEvent} event */
  drop(event) {
    this.removeAttribute("data-over");
    const field = this.querySelector("input[type=file]");
    const files = event.dataTransfer?.files;
    if (!(field instanceof HTMLInputElement) || !files?.length) return;
    event.preventDefault();
    field.files = files;
    field.form?.requestSubmit();
  }
}

customElements.define("file-drop", FileDrop);
