// @ts-check
/** Folds that a person opened or shut stay so when an answer brings them anew: those with data-kept-fold. */

/** @type {Map<string, boolean>} */
const kept = new Map();

document.addEventListener("htmx:beforeSwap", (event) => {
  const { target } = /** @type {CustomEvent} */ (event).detail;
  for (const fold of folds(target)) {
    if (fold.open !== (fold.dataset.keptFold === "open")) kept.set(fold.id, fold.open);
    else kept.delete(fold.id);
  }
});

document.addEventListener("htmx:afterSettle", () => {
  for (const fold of folds(document)) fold.open = kept.get(fold.id) ?? fold.open;
});

/** On paper every fold is open. @type {HTMLDetailsElement[]} */
let shut = [];

function open() {
  if (shut.length) return;
  shut = [...folds(document)].filter((fold) => !fold.open);
  for (const fold of shut) fold.open = true;
}

function shutAgain() {
  for (const fold of shut) fold.open = false;
  shut = [];
}

addEventListener("beforeprint", open);
addEventListener("afterprint", shutAgain);
const PRINT = matchMedia("print");
PRINT.addEventListener("change", () => (PRINT.matches ? open() : shutAgain()));

/**
 * The folds below a node that are kept.
 * @param {ParentNode} node
 * @returns {NodeListOf<HTMLDetailsElement>}
 */
function folds(node) {
  return node.querySelectorAll("details[data-kept-fold]");
}
