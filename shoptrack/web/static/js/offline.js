// By https alone: the Bench gets a worker of its own, so that it opens without a network.
const AGAIN_MS = 3000;

// What a tablet needs without a network: the names, everyone's page and the files that this page has loaded.
function needed() {
  const files = performance.getEntriesByType('resource').map((seen) => seen.name)
    .filter((name) => new URL(name).origin === location.origin && new URL(name).pathname.startsWith('/static/'));
  const people = [...document.querySelectorAll('[data-who]')].map((link) => `/bench/${link.dataset.who}`);
  return new Set(['/bench', location.pathname, ...people, ...files]);
}

// What was asked for before the worker was there, or came too late for it, is asked for until it is kept.
async function warm() {
  const kept = await caches.open('bench');
  let missing = document.readyState === 'complete' ? 0 : 1;
  for (const address of needed()) {
    if (await kept.match(address)) continue;
    missing += 1;
    await fetch(address).catch(() => null);
  }
  if (missing) setTimeout(warm, AGAIN_MS);
}

if ('serviceWorker' in navigator) {
  if (navigator.serviceWorker.controller) warm();
  else navigator.serviceWorker.addEventListener('controllerchange', warm, { once: true });
  navigator.serviceWorker.register('/static/js/worker.js', { scope: '/bench' }).catch(() => null); // not trusted yet
}
