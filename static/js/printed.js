// @ts-check
/**
 * On paper the picture is always the wide one, with both polarities, however the screen is held.
 * What is printed is settled when the event of printing returns, so the wide picture is asked for without waiting aside.
 */

const PRINT = matchMedia("print");

/** The picture of the screen and the one that is printed in its place. @type {{screen: Element, paper: Element} | null} */
let pair = null;

/** The address of the picture that is shown, drawn wide. @param {Element} place */
function wideAddress(place) {
  const form = document.getElementById("event-picture");
  const isInstant = place.hasAttribute("data-instant") && form instanceof HTMLFormElement;
  const address = new URL(isInstant ? form.action : `${location.pathname}/picture${location.search}`, location.href);
  if (isInstant) new FormData(form).forEach((value, name) => address.searchParams.set(name, String(value)));
  else address.searchParams.set("show", place.hasAttribute("data-before") ? "before" : "after");
  address.searchParams.set("wide", "yes");
  return address;
}

function widen() {
  const place = document.getElementById("diagram-place");
  if (pair || !place?.querySelector("#diagram.portrait")) return;
  const request = new XMLHttpRequest();
  request.open("GET", wideAddress(place), false);
  request.setRequestHeader("HX-Request", "true");
  request.send();
  const wide = new DOMParser().parseFromString(request.responseText, "text/html").getElementById("diagram-place");
  if (request.status !== 200 || !wide) return;
  pair = { screen: place, paper: document.adoptNode(wide) };
  place.replaceWith(pair.paper);
}

/** Bring back the picture of the screen, unless a newer one has come meanwhile. */
function narrow() {
  if (pair?.paper.isConnected) pair.paper.replaceWith(pair.screen);
  pair = null;
}

addEventListener("beforeprint", widen);
addEventListener("afterprint", narrow);
PRINT.addEventListener("change", () => (PRINT.matches ? widen() : narrow()));
