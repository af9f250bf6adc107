// Taps kept on this tablet until the server has them, in the order in which they were made.
//
// Kept in IndexedDB (it outlives a killed browser) under (device, seq). A seq is given inside the transaction
// that stores the tap, so two pages of one tablet never share one. Sending always begins at the lowest tap
// not yet answered and the server takes an id once: two pages sending at once can neither double nor reorder.

const KEEP_DAYS = 14, BATCH = 50, SLOWEST_S = 15, PATIENCE_MS = 10000;
let opened = null, sending = null, timer = 0, wait_s = 1, trouble = '';
const listeners = new Set();

export function random(bytes = 16) {
  return [...crypto.getRandomValues(new Uint8Array(bytes))].map((b) => b.toString(16).padStart(2, '0')).join('');
}

function open() {
  opened ??= new Promise((resolve, reject) => {
    const ask = indexedDB.open('shoptrack', 1);
    ask.onupgradeneeded = () => {
      ask.result.createObjectStore('about');
      const taps = ask.result.createObjectStore('taps', { keyPath: ['device', 'seq'] });
      taps.createIndex('state', ['state', 'device', 'seq']);
      taps.createIndex('id', 'id', { unique: true });
    };
    ask.onsuccess = () => resolve(ask.result);
    ask.onerror = () => reject(ask.error);
  });
  return opened;
}

// Runs work(stores, got) in one transaction and gives its value once that is on the disk.
async function through(mode, work) {
  const base = await open();
  return new Promise((resolve, reject) => {
    const trip = base.transaction(['about', 'taps'], mode, { durability: 'strict' });
    const about = trip.objectStore('about'), taps = trip.objectStore('taps');
    let value;
    const got = (ask, then) => { ask.onsuccess = () => then(ask.result); };
    trip.oncomplete = () => resolve(value);
    trip.onabort = trip.onerror = () => reject(trip.error);
    work({ about, taps, got, give: (v) => { value = v; } });
  });
}

const inState = (state) => IDBKeyRange.bound([state], [state, []]);
const list = (state, most) => through('readonly', ({ taps, got, give }) =>
  got(taps.index('state').getAll(inState(state), most), give));

// Keeps taps, all or none, and gives them with the id and seq they got: from then on they are saved.
export async function keep(words, ...made) {
  const kept = await through('readwrite', ({ about, taps, got, give }) => {
    got(about.get('device'), (known) => {
      const device = known ?? random();
      if (!known) about.add(device, 'device');
      got(about.get('seq'), (last) => {
        let seq = last ?? 0;
        give(made.map((tap) => {
          const whole = { id: random(), at: new Date().toISOString(), ...tap };
          seq += 1;
          taps.add({ device, seq, id: whole.id, state: 'waiting', words, entry: { ...whole, seq } });
          return { ...whole, seq };
        }));
        about.put(seq, 'seq');
      });
    });
  });
  tell();
  return kept;
}

export async function counts() {
  const [unsent, aside] = await Promise.all([list('waiting'), list('set aside')]);
  return { unsent, aside: aside.filter((tap) => !tap.seen), trouble };
}

export function onChange(listener) { listeners.add(listener); tell(); }
async function tell() { const now = await counts(); for (const each of listeners) each(now); }

export async function seen(id) {
  await through('readwrite', ({ taps, got }) => got(taps.index('id').get(id), (tap) => taps.put({ ...tap, seen: true })));
  tell();
}

// The page says which database and which shop it is of. The same shop in another database was restored from a
// backup: it is offered again all that this tablet still keeps. Another shop is not.
export async function meet(database, shop) {
  await through('readwrite', ({ about, taps, got }) => got(about.get('met'), (met) => {
    if (met?.database === database) return;
    about.put({ database, shop }, 'met');
    if (met?.shop !== shop) return;
    for (const state of ['done', 'set aside']) {
      got(taps.index('state').getAll(inState(state)), (old) => old.forEach((tap) => taps.put({ ...tap, state: 'waiting' })));
    }
  }));
  tell();
}

async function answered(reply) {
  const oldest = Date.now() - KEEP_DAYS * 86400000;
  await through('readwrite', ({ taps, got }) => {
    for (const { id, status, reason } of reply.answers) {
      got(taps.index('id').get(id), (tap) => tap && taps.put({ ...tap, state: status, reason, answered: Date.now() }));
    }
    got(taps.index('state').getAll(inState('done'), BATCH), (old) => old
      .filter((tap) => tap.answered < oldest).forEach((tap) => taps.delete([tap.device, tap.seq])));
  });
}

async function post(taps) {
  const patience = new AbortController();
  const ring = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    const body = { device: taps[0].device, sent_at: new Date().toISOString(), entries: taps.map((tap) => tap.entry) };
    const reply = await fetch('/api/entries', { method: 'POST', headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(body), signal: patience.signal });
    if (reply.ok) { trouble = ''; return await reply.json(); }
    trouble = (await reply.json().catch(() => ({}))).detail ?? `The server answered ${reply.status}.`;
  } catch { trouble = ''; } finally { clearTimeout(ring); }
  return null;
}

async function sendAll() {
  for (let taps = await list('waiting', BATCH); taps.length; taps = await list('waiting', BATCH)) {
    const reply = await post(taps);
    if (!reply?.answers.length) { later(); tell(); return false; }
    await answered(reply);
    wait_s = 1;
    tell();
  }
  return true;
}

function later() {
  clearTimeout(timer);
  timer = setTimeout(flush, wait_s * 1000);
  wait_s = Math.min(SLOWEST_S, wait_s * 2);
}

// Sends what waits; true once everything was answered. Called while it is at it: joins, then looks again.
export function flush() {
  clearTimeout(timer);
  sending = (sending ?? Promise.resolve()).catch(() => false).then(sendAll);
  return sending;
}

flush();
addEventListener('online', () => { wait_s = 1; flush(); });
document.addEventListener('visibilitychange', () => { if (!document.hidden) flush(); });
