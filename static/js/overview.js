// @ts-check
/** The whole picture in small: a frame shows which part is in sight, and a touch or drag brings another. */

import { WiringScene } from "./scene.js";

customElements.whenDefined("wiring-scene").then(() => {
  const scene = document.querySelector("wiring-scene");
  if (scene instanceof WiringScene) watch(scene);
});

/** @param {WiringScene} scene */
function watch(scene) {
  scene.addEventListener("scene-moved", () => draw(scene));
  document.addEventListener("htmx:afterSettle", () => draw(scene));
  addEventListener("resize", () => draw(scene));
  for (const kind of /** @type {const} */ (["pointerdown", "pointermove"])) {
    document.addEventListener(kind, (event) => {
      const box = event.target instanceof Element ? event.target.closest("#overview") : null;
      if (!box || !(event.buttons & 1)) return;
      event.preventDefault();
      bring(scene, box, event);
    });
  }
  draw(scene);
}

/** Where the pane stands in the picture, drawn to the small picture's scale. @param {WiringScene} scene */
function draw(scene) {
  const box = document.getElementById("overview");
  const svg = box?.querySelector("svg");
  if (!box || !svg || !scene.size.x) return;
  const { x, y, scale } = scene.view;
  const [width, height] = [scene.clientWidth / scale, scene.clientHeight / scale];
  box.hidden = width >= scene.size.x && height >= scene.size.y;
  const frame = svg.getBoundingClientRect();
  const [kx, ky] = [frame.width / scene.size.x, frame.height / scene.size.y];
  const left = Math.max(0, -x / scale);
  const top = Math.max(0, -y / scale);
  const right = Math.min(scene.size.x, -x / scale + width);
  const bottom = Math.min(scene.size.y, -y / scale + height);
  const pane = box.querySelector(".overview-pane") ?? box.appendChild(document.createElement("div"));
  if (!(pane instanceof HTMLElement)) return;
  pane.className = "overview-pane";
  pane.style.left = `${left * kx}px`;
  pane.style.top = `${top * ky}px`;
  pane.style.width = `${Math.max(0, right - left) * kx}px`;
  pane.style.height = `${Math.max(0, bottom - top) * ky}px`;
}

/** Bring the touched point to the middle of the pane. @param {WiringScene} scene @param {Element} box @param {PointerEvent} event */
function bring(scene, box, event) {
  const frame = box.querySelector("svg")?.getBoundingClientRect();
  if (!frame?.width) return;
  const { scale } = scene.view;
  const at = { x: ((event.clientX - frame.left) / frame.width) * scene.size.x, y: ((event.clientY - frame.top) / frame.height) * scene.size.y };
  scene.view.x = scene.clientWidth / 2 - at.x * scale;
  scene.view.y = scene.clientHeight / 2 - at.y * scale;
  scene.apply();
}
