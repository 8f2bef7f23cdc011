// @ts-check
/**
 * The cursor of an event's chart: a line that follows the slider, and the slider follows a pointer on the chart.
 * Everything it shows stands in the page already; without it the form asks the server.
 */

const A_COLUMN_MS = 25;
const A_COLUMN_WITH_PICTURE_MS = 50;
const SLOWER = 5;

class EventCursor extends HTMLElement {
  frame = 0;

  connectedCallback() {
    const slider = this.querySelector("input[type=range]");
    const chart = this.querySelector("#event-chart");
    if (!(slider instanceof HTMLInputElement) || !(chart instanceof SVGSVGElement)) return;
    slider.addEventListener("input", () => this.moveTo(slider, slider.value));
    const play = this.querySelector("#event-play");
    if (play instanceof HTMLButtonElement) {
      play.hidden = false;
      play.addEventListener("click", () => this.play(slider));
    }
    const slow = this.querySelector("#event-slow");
    if (slow instanceof HTMLButtonElement) {
      slow.hidden = false;
      slow.addEventListener("click", () => this.slow(slow, slider));
    }
    chart.addEventListener("pointerdown", (event) => {
      chart.setPointerCapture(event.pointerId);
      this.follow(event, chart, slider);
    });
    chart.addEventListener("pointermove", (event) => {
      if (event.pointerType === "mouse" || chart.hasPointerCapture(event.pointerId)) this.follow(event, chart, slider);
    });
  }

  /** Put the slider where the pointer is. @param {PointerEvent} event @param {SVGSVGElement} chart @param {HTMLInputElement} slider */
  follow(event, chart, slider) {
    const matrix = chart.getScreenCTM();
    if (!matrix) return;
    const x = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse()).x;
    this.moveTo(slider, String(Math.floor(x - this.left)));
  }

  /** Take the cursor to a column by hand: an instant typed before does not count any more. @param {HTMLInputElement} slider @param {string} column */
  moveTo(slider, column) {
    this.stop();
    slider.value = column;
    const typed = this.querySelector("#event-t");
    if (typed instanceof HTMLInputElement) typed.value = "";
    this.read(slider);
  }

  /** Let the cursor walk from where it stands to the end, from the start where it stands there; or stop it. @param {HTMLInputElement} slider */
  play(slider) {
    if (this.frame) {
      this.stop();
      return;
    }
    const last = Number(slider.max);
    const first = slider.valueAsNumber >= last ? 0 : slider.valueAsNumber;
    const began = performance.now();
    const plain = document.querySelector("#diagram-place[data-instant]") ? A_COLUMN_WITH_PICTURE_MS : A_COLUMN_MS;
    const pace = this.querySelector("#event-slow[aria-pressed=true]") ? plain * SLOWER : plain;
    const step = (/** @type {number} */ now) => {
      this.frame = 0;
      if (!this.isConnected) return;
      // The picture comes along: the next instant is shown when that of the last has come.
      if (!document.querySelector("#event-picture.htmx-request")) {
        slider.value = String(first + Math.floor((now - began) / pace));
        this.read(slider);
      }
      if (slider.valueAsNumber < last) this.frame = requestAnimationFrame(step);
      this.nameButton();
    };
    this.frame = requestAnimationFrame(step);
    this.nameButton();
  }

  /** Go on slowly from now on, or at the usual pace again. @param {HTMLButtonElement} button @param {HTMLInputElement} slider */
  slow(button, slider) {
    button.setAttribute("aria-pressed", String(button.getAttribute("aria-pressed") !== "true"));
    if (!this.frame) return;
    this.stop();
    this.play(slider);
  }

  /** Stand still where the cursor is. */
  stop() {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    this.nameButton();
  }

  /** The button says what it does now. */
  nameButton() {
    const play = this.querySelector("#event-play");
    if (play) play.textContent = this.frame ? "Stop" : "Play";
  }

  /** Show the instant and the values of the slider's column. @param {HTMLInputElement} slider */
  read(slider) {
    const column = slider.valueAsNumber;
    const time = (slider.dataset.times ?? "").split("|")[column] ?? "";
    const said = [];
    for (const output of this.querySelectorAll("output[data-values]")) {
      output.textContent = (output.getAttribute("data-values") ?? "").split(" ")[column] ?? "";
      const row = output.closest("div");
      said.push([...(row?.children ?? [])].map((one) => one.textContent?.trim()).join(" "));
    }
    const shown = this.querySelector("#event-time");
    if (shown) shown.textContent = time;
    slider.setAttribute("aria-valuetext", [time, ...said].join(", "));
    for (const end of ["x1", "x2"]) {
      this.querySelector(".chart-cursor")?.setAttribute(end, String(this.left + column + 0.5));
    }
    this.dispatchEvent(new Event("instant", { bubbles: true }));
  }

  get left() {
    return Number(this.dataset.left);
  }
}

customElements.define("event-cursor", EventCursor);
