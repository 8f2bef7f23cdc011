// @ts-check
/** One step from the picture to the card of what is selected, past all tables; Escape leads back into the picture. */

document.getElementById("to-card")?.addEventListener("click", (event) => {
  const title = document.getElementById("selected-title") ?? document.getElementById("thing-title");
  if (!title) return;
  event.preventDefault();
  title.focus();
});

document.addEventListener("keydown", (event) => {
  const from = event.target instanceof Element ? event.target.closest("#selected, #thing") : null;
  if (event.key !== "Escape" || !from || document.querySelector("wiring-scene.carrying")) return;
  const stop = document.querySelector("#diagram [tabindex='0']");
  if (stop instanceof SVGElement) stop.focus();
});
