// A form of the Bench, and the button that sent it, become what a tap says.
const NUMBERS = ['person', 'job', 'count', 'out_of', 'minutes', 'helper', 'way_back', 'room', 'pool', 'tool', 'edge'];
const TICKS = ['insisted', 'goes_on'];
const NOT_SAID = ['id', 'when', 'back'];

const number = (text) => Number(text.replace(',', '.'));
const celsius = (degrees, unit) => Math.round(100 * (unit === 'F' ? (degrees - 32) / 1.8 : degrees)) / 100;

// `when` is a count of minutes or the server's instant; `ahead_ms` is what the server's clock is ahead of ours.
export function agoMin(when, ahead_ms) {
  if (!when) return 0;
  const ago = /^\d+$/.test(when) ? Number(when) : (Date.now() + ahead_ms - Date.parse(when)) / 60000;
  return Math.max(0, ago);
}

export function read(form, button) {
  const tap = {}, stages = new Set(), data = new FormData(form);
  if (button?.name) data.set(button.name, button.value);
  for (const [name, text] of data) {
    if (text === '' || NOT_SAID.includes(name)) continue;
    if (name === 'stage') stages.add(Number(text));
    else if (name === 'count_is') tap.count = number(text);
    else if (name === 'cost') tap.cents = Math.round(number(text) * 10 ** form.elements.cost.dataset.decimals);
    else if (name === 'warmth') tap.value_c = celsius(number(text), form.elements.warmth.dataset.unit);
    else if (TICKS.includes(name)) tap[name] = true;
    else tap[name] = NUMBERS.includes(name) ? number(text) : text;
  }
  if (stages.size) tap.stages = [...stages];
  return tap;
}
