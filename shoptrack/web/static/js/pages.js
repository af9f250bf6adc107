// The pages of the Bench as this tablet last saw them: shown fresh where the server answers, else as they were.
import { counts, flush, meet } from './outbox.js';
import { apply } from './hands.js';
import { watch } from './call.js';

const PATIENCE_MS = 4000, SPARE_MS = 2500;
const pages = new Map(), spares = new Map(), after = new Set();
let ahead = 0, timer = 0, wanted = null; // whose page was last asked for
let laid = new Set(); // ids of the taps that the page in sight already shows

export const main = () => document.getElementById('main');
export const who = () => main().dataset.bench;
export const ahead_ms = () => ahead; // what the server's clock is ahead of the tablet's
export const onShow = (listener) => after.add(listener); // told whether it is the page of another person
const path = (person) => (person === 'names' ? '/bench' : `/bench/${person}`);

async function get(address, etag) {
  const headers = etag ? { 'If-None-Match': `"${etag}"` } : {};
  try {
    const reply = await fetch(address, { headers, signal: AbortSignal.timeout(PATIENCE_MS) });
    return reply.ok ? await reply.text() : null;
  } catch { return null; }
}

// Lays a tap over the page in sight, once.
export function lay(tap) {
  if (laid.has(tap.id)) return;
  laid.add(tap.id);
  apply(main(), tap, spares.get(who()), ahead);
}

// Shows a person's page: fresh where the server answers and nothing is unsent, else as this tablet last saw it.
export async function show(person, etag) {
  wanted = person;
  let { unsent } = await counts();
  const fresh = unsent.length ? null : await get(path(person), etag);
  unsent = (await counts()).unsent;
  if (person !== wanted) return;
  const isFresh = fresh && !unsent.length, other = who() !== person;
  if (isFresh) pages.set(person, { text: fresh, laid: new Set() });
  if (!isFresh && !other) return; // what is in sight is newer than what was kept
  if (!pages.has(person)) return;
  if (other) pages.set(who(), { text: main().outerHTML, laid });
  laid = new Set(pages.get(person).laid);
  put(new DOMParser().parseFromString(pages.get(person).text, 'text/html').getElementById('main'), person, Boolean(etag));
  for (const { entry } of unsent) lay(entry);
  if (isFresh) arrived();
  watch(main(), ahead_ms);
  for (const each of after) each(other, unsent);
}

export const refresh = (etag) => show(wanted ?? who(), etag);

function put(sheet, person, looked) {
  const same = who() === person, held = main().contains(document.activeElement) && document.activeElement;
  const opened = looked ? [...main().querySelectorAll('details[open] > summary')].map((s) => s.textContent) : [];
  main().replaceWith(document.adoptNode(sheet));
  for (const s of main().querySelectorAll('details > summary')) if (opened.includes(s.textContent)) s.parentElement.open = true;
  // a keyboard stays where it was: on the button with the same words, else at the top of the sheet
  const words = (each) => each.tagName + each.textContent.trim();
  const again = held && same && [...main().querySelectorAll('a, button, summary')].find((each) => words(each) === words(held));
  if (held) (again || main()).focus({ preventScroll: true });
  if (same) return;
  history.replaceState(null, '', path(person));
  scrollTo(0, 0);
}

export function arrived() {
  ahead = Date.parse(main().dataset.now) - Date.now();
  meet(main().dataset.database, main().dataset.shop).then(flush);
  clearTimeout(timer);
  timer = setTimeout(prefetch, spares.has(who()) ? SPARE_MS : 0);
}

// Every page of the Bench, and what each stage on offer would look like in hand, for when the network goes.
async function prefetch() {
  const own = who(), people = [...document.querySelectorAll('[data-who]')].map((link) => link.dataset.who);
  for (const person of [own, 'names', ...people]) {
    const page = pages.has(person) ? null : await get(path(person));
    if (page && !pages.has(person)) pages.set(person, { text: page, laid: new Set() });
    const known = person === 'names' || (person !== own && spares.has(person));
    const spare = known ? null : await get(`${path(person)}/spare`);
    if (spare) spares.set(person, spare);
  }
}
