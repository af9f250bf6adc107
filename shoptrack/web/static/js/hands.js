// What a tap does to the page before the server has said so: the tablet's own small idea of who has what in hand.
const finished = new Set(), closed = new Set();

const wall = (at, options) => new Intl.DateTimeFormat('en-GB', { timeZone: document.body.dataset.zone, ...options }).format(at);
const day = (at) => wall(at, { year: 'numeric', month: 'short', day: 'numeric' });
const time = (at) => {
  const twelve = 'twelve' in document.body.dataset;
  return wall(at, { hour: 'numeric', minute: '2-digit', hour12: twelve }).replace(/^0/, '').toLowerCase();
};

function onTape(at, now) {
  if (day(at) === day(now)) return time(at);
  const near = at - now < 6 * 86400000;
  return `${near ? wall(at, { weekday: 'short' }) : wall(at, { day: 'numeric', month: 'short' })} ${time(at)}`;
}

// The line for the tape, moved from when the page was drawn to when the tap counts.
export function tape(hand, ago_min, ahead_ms) {
  if (!hand?.dataset.tape) return '';
  const now = Date.now() + ahead_ms, step = 300000;
  const later = now - ago_min * 60000 - Date.parse(hand.dataset.drawn);
  const parts = hand.dataset.tape.split(';').map((part) => {
    const [word, at] = part.split('|');
    return `${word} ${onTape(Math.ceil((Date.parse(at) + later - step / 2) / step) * step, now)}`;
  });
  return `${hand.dataset.tags} ${parts.join(' · ')}`;
}

function take(root, tap, spare) {
  const drawn = new DOMParser().parseFromString(spare ?? '', 'text/html');
  const hand = drawn.querySelector(`[data-hand="${tap.stages?.[0] ?? 'shop'}"]`)?.content.querySelector('#hand');
  const own = hand ? document.adoptNode(hand) : bare(root, tap);
  root.querySelector('#hand')?.remove();
  free(root, false);
  if (!own) return;
  if (!tap.stages) { own.dataset.what = tap.text; own.querySelector('h1').textContent = tap.text; }
  for (const stage of tap.stages?.slice(1) ?? []) {
    own.dataset.stages += ` ${stage}`;
    for (const field of own.querySelectorAll('[name="stage"]')) {
      const form = field.form;
      if (!form.querySelector(`[name="stage"][value="${stage}"]`)) form.append(Object.assign(field.cloneNode(), { value: stage }));
    }
  }
  root.querySelector('#when').before(own);
}

// The network went before it was known how this looks in hand: its name, done and pause will do.
function bare(root, tap) {
  const row = tap.stages && root.querySelector(`[data-stage="${tap.stages[0]}"]`);
  if (!row) return null;
  const own = Object.assign(document.createElement('section'), { id: 'hand', className: 'part hand' });
  const mains = Object.assign(document.createElement('div'), { className: 'mains' });
  own.append(Object.assign(document.createElement('h1'), { textContent: row.querySelector('h1, b').textContent }), mains);
  Object.assign(own.dataset, { stages: tap.stages[0], left: 0 });
  for (const [kind, words] of [['finish', 'done'], ['pause', 'pause']]) {
    const form = row.querySelector('form.tap').cloneNode(true), button = form.querySelector('button');
    form.querySelector('[name="insisted"]')?.remove();
    form.querySelector('[name="kind"]').setAttribute('value', kind);
    form.dataset.says += ` – ${words}`;
    button.className = kind === 'finish' ? 'main-button' : 'press';
    button.textContent = `${root.dataset.name}: ${words}`;
    mains.append(form);
  }
  return own;
}

function free(root, isFree) {
  const first = root.querySelector('.one-thing'), others = root.querySelector('.choices');
  if (first) first.hidden = !isFree;
  if (others) others.open = isFree;
}

function leave(root, tap) {
  const hand = root.querySelector('#hand');
  const own = hand?.dataset.stages.split(' ').filter(Boolean).map(Number) ?? [];
  if (tap.kind === 'finish') for (const stage of tap.stages) finished.add(stage);
  if (hand && (!tap.stages || tap.stages.some((stage) => own.includes(stage)))) { hand.remove(); free(root, true); }
  for (const row of root.querySelectorAll('[data-stage]')) offer(row);
  if (!root.querySelector('#hand') && root.querySelector('#waiting')) root.querySelector('#waiting').open = true;
}

// A stage that waited only for what was finished here may start; one that waits for glue is still questioned.
function offer(row) {
  if (finished.has(Number(row.dataset.stage))) { row.hidden = true; return; }
  const needs = (row.dataset.needs ?? '').split(' ').filter(Boolean).map(Number), words = row.querySelector('.question');
  if (!words || !needs.length || !needs.every((stage) => finished.has(stage))) return;
  row.querySelector('details').open = true;
  if (needs.some((stage) => closed.has(stage))) { words.textContent = 'just closed – start anyway?'; return; }
  row.querySelector('[name="insisted"]')?.remove();
  words.textContent = 'start';
}

function close(root, tap) {
  const hand = root.querySelector('#hand');
  for (const stage of tap.stages) if (tap.kind === 'closed') closed.add(stage);
  if (!hand) return;
  const left = tap.count ? Math.max(0, Number(hand.dataset.left) - tap.count) : 0;
  hand.dataset.left = left;
  for (const shown of hand.querySelectorAll('[data-left-shown]')) shown.textContent = left;
  for (const number of hand.querySelectorAll('[data-numbers] button')) number.hidden = Number(number.value) > left;
  const form = hand.querySelector(`[data-main="${tap.kind}"]`), field = form?.querySelector('[name="count"]');
  if (field) { field.setAttribute('value', Math.min(Number(field.value), left)); field.value = field.getAttribute('value'); count(form); }
  if (tap.told) { hand.querySelector('#tape').hidden = false; hand.querySelector('#tape b').textContent = tap.told; }
  hand.querySelector('.call')?.toggleAttribute('hidden', true);
  if (left > 0) return;
  form?.remove();
  hand.querySelector('[data-main="finish"] button').className = 'main-button';
}

function spread(root, tap, ahead_ms) {
  const call = root.querySelector('.call');
  if (!call) return;
  const at = Date.parse(tap.at) + ahead_ms - (tap.ago_min ?? 0) * 60000;
  call.dataset.spread = new Date(at).toISOString();
  if (call.dataset.open) call.dataset.until = new Date(at + call.dataset.open * 60000).toISOString();
  call.querySelector('.call-before').hidden = true;
  call.querySelector('.call-open').hidden = false;
}

// The count typed or stepped is written on the large button.
export function count(form) {
  const shown = form.querySelector('[data-count]');
  if (shown) shown.textContent = form.elements.count.value;
}

function doing(root, tap, words) {
  const shown = root.querySelector(`[data-who="${tap.person}"] small`);
  if (shown) shown.textContent = words;
}

export function apply(root, tap, spare, ahead_ms) {
  const here = String(tap.person) === root.dataset.bench;
  if (tap.kind === 'start') doing(root, tap, tap.text ?? 'just started');
  if (['finish', 'pause', 'put-aside'].includes(tap.kind)) doing(root, tap, 'free');
  if (!here) return;
  if (tap.kind === 'start') take(root, tap, spare);
  else if (['finish', 'pause', 'put-aside'].includes(tap.kind)) leave(root, tap);
  else if (['closed', 'round'].includes(tap.kind)) close(root, tap);
  else if (tap.kind === 'spread') spread(root, tap, ahead_ms);
  else if (tap.kind === 'unclamp' && !tap.count) root.querySelector(`[data-held="${tap.stages[0]}"]`)?.toggleAttribute('hidden', true);
  else if (tap.kind === 'answer') root.querySelector(`[data-asks="${tap.of} ${tap.asks}"]`)?.toggleAttribute('hidden', true);
  else if (tap.kind === 'edge' && tap.choice === 'found dull') for (const asked of root.querySelectorAll(`[data-tools~="${tap.tool}"]`)) asked.hidden = true;
}
