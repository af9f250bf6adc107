// By https alone: the Bench gets a worker of its own, so that it opens without a network.
const here = location.pathname;

async function warm() {
  const files = performance.getEntriesByType('resource').map((seen) => seen.name)
    .filter((name) => new URL(name).origin === location.origin && new URL(name).pathname.startsWith('/static/'));
  for (const address of [here, ...files]) await fetch(address).catch(() => null);
}

if ('serviceWorker' in navigator) {
  if (!navigator.serviceWorker.controller) navigator.serviceWorker.addEventListener('controllerchange', warm, { once: true });
  navigator.serviceWorker.register('/static/js/worker.js', { scope: '/bench' }).catch(() => null); // not trusted yet
}
