// The page's own files, kept on the device: all of them, or the ones before. Answers come from here; nothing of /api does.
const nameOf = (script) => `dwell-page-${new URL(script).searchParams.get('page')}`;
const own = nameOf(self.location.href);

self.addEventListener('install', (event) => {
  event.waitUntil(
    (async () => {
      const { files } = await (await fetch('api/page', { cache: 'no-store' })).json();
      await (await caches.open(own)).addAll(files.map((file) => new Request(`.${file}`, { cache: 'reload' })));
      // The files before stay until the next time: a page that is open may still ask for one of them.
      const before = self.registration.active === null ? own : nameOf(self.registration.active.scriptURL);
      for (const name of await caches.keys()) if (name.startsWith('dwell-page-') && name !== own && name !== before) await caches.delete(name);
      await self.skipWaiting();
    })(),
  );
});

self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== self.location.origin || pathname.includes('/api/')) return;
  const wanted = request.mode === 'navigate' ? './index.html' : request;
  event.respondWith(
    (async () => {
      const kept = await caches.match(wanted, { ignoreSearch: true, cacheName: own });
      return kept ?? (await caches.match(wanted, { ignoreSearch: true })) ?? fetch(request);
    })(),
  );
});
