// The call of a glue-up: the open time as a line that empties, a sound two minutes before its end and at it.
const WARN_MS = 120000, LOOK_MS = 200, LENGTH = 660;
const sounded = new Set();
let timer = 0, sound = null;

// A browser gives sound only after a touch: any touch makes it ready.
addEventListener('pointerdown', ready);
addEventListener('keydown', ready);
function ready() {
  sound ??= new AudioContext();
  if (sound.state === 'suspended') sound.resume();
}

function beeps(count, pitch, seconds) {
  if (!sound) return;
  for (let n = 0; n < count; n += 1) {
    const from = sound.currentTime + n * seconds * 1.6, tone = sound.createOscillator(), loud = sound.createGain();
    tone.frequency.value = pitch;
    loud.gain.setValueAtTime(0.0001, from);
    loud.gain.exponentialRampToValueAtTime(0.5, from + 0.02);
    loud.gain.exponentialRampToValueAtTime(0.0001, from + seconds);
    tone.connect(loud).connect(sound.destination);
    tone.start(from);
    tone.stop(from + seconds);
  }
}

function once(name, play) {
  if (sounded.has(name)) return;
  sounded.add(name);
  play();
}

export function span(ms) {
  const seconds = Math.max(0, Math.ceil(ms / 1000)), minutes = Math.floor(seconds / 60);
  return minutes ? `${minutes} min ${String(seconds % 60).padStart(2, '0')}` : `${seconds} s`;
}

export function running(root) {
  return Boolean(root.querySelector('.call[data-spread]:not([hidden]) .call-open:not([hidden])'));
}

function draw(call, now) {
  const until = Date.parse(call.dataset.until), whole = until - Date.parse(call.dataset.spread), left = until - now;
  const bar = call.querySelector('[data-bar]'), words = call.querySelector('[data-left-over]');
  bar.setAttribute('width', Math.max(0, Math.min(LENGTH, (LENGTH * left) / whole)).toFixed(1));
  words.textContent = left > 0 ? `${span(left)} left of ${Math.round(whole / 60000)}` : `open time over for ${span(-left)}`;
  call.classList.toggle('late', left <= WARN_MS);
  if (left <= WARN_MS && left > 0) once(`${until} warn`, () => beeps(2, 880, 0.35));
  if (left <= 0 && left > -LOOK_MS * 10) once(`${until} end`, () => beeps(4, 620, 0.6));
}

// Draws the running call of a page until the page is replaced. `ahead` gives what the server's clock is ahead.
export function watch(root, ahead) {
  clearInterval(timer);
  const look = () => {
    const call = root.querySelector('.call');
    if (call?.dataset.until && running(root)) draw(call, Date.now() + ahead());
  };
  if (root.querySelector('.call')) { timer = setInterval(look, LOOK_MS); look(); }
}
