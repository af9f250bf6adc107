// "Keep for next time" without leaving the Bench: where the network is gone, the words stay and the button says so.
import { refresh } from './pages.js';

document.addEventListener('submit', async (event) => {
  const form = event.target;
  if (!form.matches('.keep')) return;
  event.preventDefault();
  const button = form.querySelector('button');
  button.disabled = true;
  try {
    const reply = await fetch(form.action, { method: 'POST', body: new URLSearchParams(new FormData(form)) });
    if (!reply.ok) { form.submit(); return; }
    await refresh();
  } catch { button.textContent = 'No network: press again later'; }
  button.disabled = false;
});
