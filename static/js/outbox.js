// @ts-check
/**
 * What waits on this device until the server has it: photos, and rows of a survey.
 *
 * Kept in IndexedDB, so that it outlives a closed page; sent in order, one at a time. The id of an entry is the
 * request id under which the server does it once, so that sending it again makes no double.
 * An entry is `refused` once the server has read and declined it; whatever else goes wrong leaves it waiting.
 */

/** @typedef {{ id: string, kind: string, boat: string, url: string, fields: [string, string | Blob][], refused?: string }} Entry */
/** @typedef {{ waiting: Entry[], refused: Entry[] }} Contents */
/** @typedef {Map<string, Record<string, string>>} Sent what the server said of each entry that it took */

const STORE = "entries";
const AGAIN_MS = 15_000;
const TAKEN = 201;
/** What no later try would change; anything else, such as a tablet that has to join again, may pass. */
const REFUSED = new Set([400, 404, 413, 422]);
/** @type {Set<(contents: Contents) => void>} */
const watchers = new Set();
/** @type {Promise<Sent> | null} */
let sending = null;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let again;

/** @returns {Promise<IDBDatabase>} */
function opened() {
  const asked = indexedDB.open("tapchart-outbox", 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "number", autoIncrement: true });
  return answer(asked);
}

/** @template T @param {IDBRequest<T>} asked @returns {Promise<T>} */
function answer(asked) {
  return new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

/** @template T @param {"readonly" | "readwrite"} mode @param {(store: IDBObjectStore) => IDBRequest<T>} ask */
async function inStore(mode, ask) {
  const base = await opened();
  try {
    return await answer(ask(base.transaction(STORE, mode).objectStore(STORE)));
  } finally {
    base.close();
  }
}

/** @returns {Promise<(Entry & { number: number })[]>} */
const entries = () => inStore("readonly", (store) => store.getAll());

/** A fresh request id. Plain HTTP in a boat's network has no `crypto.randomUUID`. */
export function freshId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Keep an entry until it is sent. @param {Entry} entry */
export async function put(entry) {
  await inStore("readwrite", (store) => store.add(entry));
  await tell();
}

/** Throw away what was refused. @param {(entry: Entry) => boolean} meant @returns {Promise<boolean>} whether there was any */
export async function dropRefused(meant) {
  const gone = (await contents()).refused.filter(meant);
  for (const entry of gone) await drop(entry);
  await tell();
  return gone.length > 0;
}

/** Take one entry out, to be written anew. @param {Entry} entry */
export async function remove(entry) {
  await drop(entry);
  await tell();
}

/** What is here now. @returns {Promise<Contents>} */
export async function contents() {
  const all = await entries();
  return { waiting: all.filter((one) => !one.refused), refused: all.filter((one) => one.refused) };
}

/** Be told now and whenever what waits has changed. @param {(contents: Contents) => void} watcher @returns {() => void} */
export function whenChanged(watcher) {
  watchers.add(watcher);
  void contents().then(watcher);
  return () => void watchers.delete(watcher);
}

/** Send everything that waits, and try again later while something does. @returns {Promise<Sent>} */
export function send() {
  sending ??= sendAll().finally(() => {
    sending = null;
  });
  return sending;
}

async function sendAll() {
  clearTimeout(again);
  /** @type {Sent} */
  const sent = new Map();
  for (const entry of (await contents()).waiting) {
    const said = await post(entry);
    if (said === null) break;
    if (typeof said === "string") await inStore("readwrite", (store) => store.put({ ...entry, refused: said }));
    else {
      sent.set(entry.id, said);
      await drop(entry);
    }
    await tell();
  }
  if ((await contents()).waiting.length) again = setTimeout(() => void send(), AGAIN_MS);
  return sent;
}

/** What the server said; a text where it refused, null where it was not reached. @param {Entry} entry */
async function post(entry) {
  const form = new FormData();
  for (const [name, value] of entry.fields) form.append(name, value);
  try {
    const reply = await fetch(entry.url, { method: "POST", body: form, headers: { Accept: "application/json" } });
    if (reply.status === TAKEN) return await reply.json();
    if (!REFUSED.has(reply.status)) return null;
    const said = await reply.json();
    return String(said.message || "The server refused it.");
  } catch {
    return null; // no way to the server, or an answer that is not its own
  }
}

/** @param {Entry} entry */
const drop = (entry) => inStore("readwrite", (store) => store.delete(/** @type {any} */ (entry).number));

async function tell() {
  const now = await contents();
  for (const watcher of watchers) watcher(now);
}

/** @param {number} number @param {string} noun */
const counted = (number, noun) => `${number} ${noun}${number === 1 ? "" : "s"}`;

/** Shows on every page how much waits and what was refused; sends on load and when the network is back. */
class OutboxCount extends HTMLElement {
  #stop = () => {};
  #online = () => void send();

  connectedCallback() {
    this.setAttribute("role", "status");
    this.#stop = whenChanged((now) => this.#show(now));
    addEventListener("online", this.#online);
    void send();
  }

  disconnectedCallback() {
    this.#stop();
    removeEventListener("online", this.#online);
  }

  /** @param {Contents} now */
  #show(now) {
    this.replaceChildren();
    for (const kind of new Set([...now.waiting, ...now.refused].map((one) => one.kind))) {
      const [waiting, refused] = [now.waiting, now.refused].map((all) => all.filter((one) => one.kind === kind));
      if (waiting.length) {
        this.#line(`${counted(waiting.length, kind)} waiting on this device, not on the server yet.`, "Send now", send);
      }
      if (refused.length) {
        const why = `${counted(refused.length, kind)} refused: ${refused[0].refused}`;
        this.#line(why, "Throw away", () => dropRefused((one) => one.kind === kind));
      }
    }
  }

  /** @param {string} words @param {string} verb @param {() => Promise<unknown>} act */
  #line(words, verb, act) {
    const line = document.createElement("p");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain";
    button.textContent = verb;
    button.addEventListener("click", () => void act());
    line.append(`${words} `, button);
    this.append(line);
  }
}

customElements.define("outbox-count", OutboxCount);
