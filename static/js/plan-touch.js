// @ts-check
/** The button that arms the plan: the next touch on it puts the chosen thing there. */

const BUTTON = "plan-put";

document.addEventListener("click", (event) => {
  const button = /** @type {Element} */ (event.target).closest(`#${BUTTON}`);
  const plan = document.querySelector("plan-places");
  if (!(button instanceof HTMLButtonElement) || !(plan instanceof HTMLElement)) return;
  if (armed(plan)) {
    disarm(plan);
  } else {
    plan.dataset.armed = button.dataset.thing ?? "";
    button.setAttribute("aria-pressed", "true");
    plan.scrollIntoView({ block: "nearest" });
  }
});

/**
 * The thing that the next touch puts down, or nothing.
 * @param {HTMLElement} plan
 */
export function armed(plan) {
  return plan.dataset.armed ?? "";
}

/**
 * Let a touch choose again.
 * @param {HTMLElement} plan
 */
export function disarm(plan) {
  delete plan.dataset.armed;
  document.getElementById(BUTTON)?.setAttribute("aria-pressed", "false");
}
