// What this tablet still holds: how many taps are unsent, and those that the server set aside, with the reason.
import { onChange, seen } from './outbox.js';

const line = document.getElementById('unsent'), list = document.getElementById('aside');

function words({ unsent, trouble }) {
  if (!unsent.length) return 'all taps sent';
  return `saved, not sent: ${unsent.length}${trouble ? ` – ${trouble}` : ''}`;
}

function item(tap) {
  const row = document.createElement('p'), button = document.createElement('button');
  const { at } = tap.entry;
  row.textContent = `Set aside: ${tap.words}, ${new Date(at).toLocaleString()}. ${tap.reason} It is kept. `;
  button.textContent = 'Seen';
  button.addEventListener('click', () => seen(tap.id));
  row.append(button);
  return row;
}

onChange((now) => {
  if (line.textContent !== words(now)) line.textContent = words(now);
  line.classList.toggle('rust', now.unsent.length > 0);
  list.hidden = !now.aside.length;
  list.replaceChildren(...now.aside.map(item));
});
