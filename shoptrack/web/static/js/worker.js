// Keeps the pages of the Bench and their files as last seen, and shows those where the server can't be reached.
const KEPT = 'bench', AT = 'Kept-At', PATIENCE_MS = 4000;

addEventListener('install', () => skipWaiting());
addEventListener('activate', (event) => event.waitUntil(clients.claim()));
addEventListener('fetch', (event) => {
  const { request } = event, { origin, pathname } = new URL(request.url);
  const ours = origin === location.origin && request.method === 'GET';
  const isPage = /^\/bench(\/\d+)?$/.test(pathname), isFile = pathname.startsWith('/static/');
  if (!ours || !(isPage || isFile)) return;
  // a page that a script asks for is the script's own to do without: it knows better what is on screen
  event.respondWith(isPage && request.mode !== 'navigate' ? fresh(request) : fresh(request).catch(() => kept(request)));
});

async function fresh(request) {
  const late = new Promise((_, no) => { setTimeout(() => no(new Error('late')), PATIENCE_MS); });
  const answer = await Promise.race([fetch(request), late]);
  if (answer.ok && !answer.redirected) await keep(request, answer.clone());
  return answer;
}

async function keep(request, answer) {
  const headers = new Headers(answer.headers);
  headers.set(AT, Date.now());
  headers.delete('Content-Encoding'); // it is unpacked by now
  const kept = await caches.open(KEPT), { pathname } = new URL(request.url);
  for (const old of await kept.keys()) if (new URL(old.url).pathname === pathname) await kept.delete(old);
  await kept.put(request.url, new Response(await answer.blob(), { headers }));
}

async function kept(request) {
  const store = await caches.open(KEPT);
  const found = await store.match(request.url) ?? (request.mode === 'navigate' ? await store.match('/bench') : null);
  if (!found) return Response.error();
  return request.mode === 'navigate' ? aged(found) : found;
}

// The page says what time it was on the server; a kept one is told how long ago that was.
async function aged(found) {
  const passed_ms = Date.now() - Number(found.headers.get(AT));
  const page = (await found.text()).replace(/data-now="([^"]+)"/,
    (_, at) => `data-now="${new Date(Date.parse(at) + passed_ms).toISOString()}"`);
  return new Response(page, { headers: found.headers });
}
