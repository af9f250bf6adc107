// The Bench: each button is kept on this tablet first, shown as saved, then sent; the page follows.
import { counts, flush, keep, onChange } from './outbox.js';
import { count, tape } from './hands.js';
import { running, watch } from './call.js';
import { agoMin, read } from './reading.js';
import { ahead_ms, arrived, lay, main, onShow, refresh, show, who } from './pages.js';
import './tablet.js';

const TWICE_MS = 700, NAMES_MS = 30000, LOOK_MS = 15000;
let when = '', tapped = 0, touched = Date.now(), said = null, waiting = 0;

async function take(made, words, then = who()) {
  if (Date.now() - tapped < TWICE_MS) return;
  tapped = Date.now();
  try {
    said = { words, taps: await keep(words, ...made) };
  } catch (problem) {
    say(`NOT saved on this tablet (${problem?.message ?? 'no room'}). Write it on paper.`);
    return;
  }
  setWhen('');
  for (const tap of said.taps) lay(tap);
  lastSaid();
  watch(main(), ahead_ms);
  if (then !== who()) await show(then);
  flush();
}

function say(words) {
  const last = document.getElementById('last');
  if (!last) return;
  last.hidden = false;
  last.className = 'last said';
  last.querySelector('p').textContent = words;
}

// What was last tapped here can be struck or given to another, sent or not.
function lastSaid() {
  const tap = said?.taps.at(-1), last = document.getElementById('last');
  if (!tap) return;
  say(`${said.words} – saved`);
  if (!last || tap.kind === 'strike') return;
  for (const field of last.querySelectorAll('[name="of"]')) field.value = tap.id;
}

function setWhen(value) {
  when = value;
  for (const link of document.querySelectorAll('[data-when]')) {
    if (link.dataset.when === value) link.setAttribute('aria-current', 'true'); else link.removeAttribute('aria-current');
  }
  document.querySelector('#when details')?.removeAttribute('open');
}

// "That was Ann": made again in her name at the same instant, and the first is struck.
function giveTo(own, person, name) {
  const { id, seq, at, ...tap } = own;
  const ago_min = (Date.now() - Date.parse(at)) / 60000 + (tap.ago_min ?? 0);
  take([{ kind: 'strike', of: id, person: tap.person }, { ...tap, person, ago_min }],
    said.words.replace(main().dataset.name, name), String(person));
}

document.addEventListener('submit', (event) => {
  const form = event.target, button = event.submitter;
  if (form.matches('.was')) {
    const own = said?.taps.find((tap) => tap.id === form.elements.of.value);
    if (!own) return; // not tapped on this page: the server knows it
    event.preventDefault();
    giveTo(own, Number(button.value), button.textContent);
  } else if (form.matches('.when-form')) {
    event.preventDefault();
    setWhen(form.elements.when.value);
  } else if (form.matches('.tap')) {
    event.preventDefault();
    const tap = read(form, button), ago_min = agoMin(when, ahead_ms());
    if (when) tap.ago_min = ago_min;
    if (tap.kind === 'closed') tap.told = tape(form.closest('.hand'), ago_min, ahead_ms());
    if (tap.kind !== 'start' || tap.stages || tap.text) take([tap], form.dataset.says);
  }
});

document.addEventListener('click', (event) => {
  touched = Date.now();
  const link = event.target.closest('a[data-who], a[data-when]'), step = event.target.closest('[data-step]');
  if (link) {
    event.preventDefault();
    if (link.dataset.who) show(link.dataset.who); else setWhen(link.dataset.when);
  } else if (step) {
    const field = step.form.elements.count;
    field.value = Math.max(1, Number(field.value) + Number(step.dataset.step));
    count(step.form);
  }
});
document.addEventListener('input', (event) => { touched = Date.now(); if (event.target.name === 'count') count(event.target.form); });

onShow((other, unsent) => {
  const own = unsent.findLast(({ entry }) => String(entry.person) === who());
  if (other) said = own ? { words: own.words, taps: [own.entry] } : null;
  setWhen(other ? '' : when);
  lastSaid();
});

// Words that were typed and not sent yet; the page stays while there are any.
const typed = () => [...main().querySelectorAll('input:not([type=hidden], [type=checkbox], [type=radio]), textarea')]
  .some((field) => field.value !== field.defaultValue);

// What was unsent has arrived: the page as the server sees it.
onChange(({ unsent }) => {
  if (waiting && !unsent.length && !typed()) refresh();
  waiting = unsent.length;
});

const busy = () => running(main()) || typed() || main().querySelector('details.act[open], details.early[open], input:checked')
  || document.activeElement?.matches('input, select');
setInterval(() => { if (!document.hidden && !busy() && Date.now() - touched > LOOK_MS) refresh(main().dataset.etag); }, LOOK_MS);
setInterval(() => {
  if (who() !== 'names' && Date.now() - touched > NAMES_MS && !running(main()) && !typed()) show('names');
}, 1000);

arrived();
counts().then(({ unsent }) => {
  for (const { entry } of unsent) lay(entry);
  watch(main(), ahead_ms);
});
if (location.protocol === 'https:') import('./offline.js');
document.documentElement.dataset.script = 'on';
