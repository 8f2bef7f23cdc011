// @ts-check
/** Carrying a lead: by drag, by touch and touch, or from the keyboard through the ranked list. */

import { Carrier } from "./carrier.js";
import { listenToKeys } from "./carry-keys.js";
import { Gestures } from "./gestures.js";
import { WiringScene } from "./scene.js";
import { watchShape } from "./shape.js";

customElements.whenDefined("wiring-scene").then(() => {
  const scene = document.querySelector("wiring-scene[data-carry]");
  if (!(scene instanceof WiringScene)) return;
  /** @type {Gestures} */
  let gestures;
  const carrier = new Carrier(scene, () => gestures.fanned());
  gestures = new Gestures(scene, carrier);
  listenToKeys(scene, carrier);
  carrier.answered();
  watchShape();
});
