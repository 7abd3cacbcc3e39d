// Makes the folder work without a network: every file of one build is put into one cache, and pages
// are answered from there alone. A newer build is fetched into a cache of its own and waits until the
// person says "take it"; the bytes of two builds never mix.
const VERSION = 'airwright-__VERSION__';
const FILES = '__FILES__';

const start = new URL('./', self.location.href).href;

self.addEventListener('install', (event) => {
  event.waitUntil(
    (async () => {
      const cache = await caches.open(VERSION);
      try {
        // One file after the other, each to its end: asked for together, the browser keeps the large ones
        // waiting until all have begun, and a server that gives one at a time waits for it in turn.
        for (const name of FILES) {
          // `reload`: not from the browser's own cache, which may hold files of another build.
          const request = new Request(name === 'index.html' ? './' : name, { cache: 'reload' });
          const response = await fetch(request);
          if (!response.ok || response.redirected) throw new Error(`${response.status} ${name}`);
          await cache.put(request, response);
        }
      } catch (error) {
        // Whole or not at all.
        await caches.delete(VERSION);
        throw error;
      }
    })(),
  );
});

self.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith('airwright-') && name !== VERSION) await caches.delete(name);
      }
      await self.clients.claim();
    })(),
  );
});

self.addEventListener('message', (event) => {
  if (event.data === 'take') self.skipWaiting();
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method !== 'GET' || !request.url.startsWith(start)) return;
  // What a desk answers is never a file of the pages.
  if (new URL(request.url).pathname.startsWith('/desk/')) return;
  event.respondWith(
    (async () => {
      const cache = await caches.open(VERSION);
      const page = request.mode === 'navigate' ? start : request.url;
      const kept = await cache.match(page, { ignoreSearch: true, ignoreVary: true });
      return kept ?? fetch(request);
    })(),
  );
});
