// @ts-check
/** The slash key leads from the picture to the field that finds a part or a cable; Escape leads back. */

document.addEventListener("keydown", (event) => {
  const field = document.getElementById("find");
  const from = event.target instanceof Element ? event.target : null;
  if (!field || !from || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "/" && from.closest("wiring-scene")) {
    event.preventDefault();
    field.focus();
  } else if (event.key === "Escape" && from === field) {
    const stop = document.querySelector("#diagram [tabindex='0']");
    if (stop instanceof SVGElement) stop.focus();
  }
});
