// Taps on edges: each one-tap form is kept on this tablet first, shown as saved, then sent; then the page follows.
import { flush, keep, onChange } from './outbox.js';
import { agoMin, read } from './reading.js';
import './tablet.js';

const TWICE_MS = 700;
const main = document.getElementById('main'), bar = document.getElementById('did');
let tapped = 0, waiting = null;

async function take(tap, words) {
  if (Date.now() - tapped < TWICE_MS) return;
  tapped = Date.now();
  let kept;
  try { [kept] = await keep(words, tap); } catch (problem) {
    words = `NOT saved on this tablet (${problem?.message ?? 'no room'}). Write it on paper`;
  }
  bar.hidden = false;
  document.getElementById('did-words').textContent = words;
  bar.querySelector('form').hidden = !kept || kept.kind === 'strike';
  if (!kept) return;
  bar.querySelector('[name="of"]').value = kept.id;
  waiting = kept;
  bar.scrollIntoView({ block: 'nearest' });
  flush();
}

document.addEventListener('submit', (event) => {
  const form = event.target, undo = form.matches('.edge-undo');
  if (!undo && !form.matches('.edge-tap')) return; // what is typed goes to the server, which reads it
  event.preventDefault();
  const tap = read(form, event.submitter), when = form.elements.when?.value;
  if (when) tap.ago_min = agoMin(when, 0);
  take(tap, undo ? 'taken back' : form.dataset.says);
});

// Arrived: the page as the server sees it, with the way back where there is one.
onChange(({ unsent }) => {
  if (!waiting || unsent.length) return;
  const to = new URL(main.dataset.tools, location.href);
  if (waiting.kind === 'edge') to.searchParams.set('did', waiting.id);
  if (waiting.tool && to.pathname === '/tools') to.hash = `t${waiting.tool}`;
  waiting = null;
  location.replace(to);
});
