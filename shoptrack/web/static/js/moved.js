// The page of the old address: sends what this tablet still holds, and only then shows the way to the new one.
import { onChange } from './outbox.js';

const words = document.getElementById('unsent'), way = document.getElementById('way');

onChange(({ unsent, trouble }) => {
  const count = unsent.length, taps = count === 1 ? '1 tap is' : `${count} taps are`;
  words.textContent = count ? `${taps} saved on this tablet and not sent yet. Wait here.${trouble ? ` ${trouble}` : ''}`
    : 'All taps of this tablet are sent.';
  words.classList.toggle('rust', count > 0);
  way.hidden = count > 0;
});
// a tablet that can keep nothing holds nothing back
addEventListener('unhandledrejection', () => { way.hidden = false; });
