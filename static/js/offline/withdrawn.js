// Instead of the worker, when it has to go: forget everything that was kept, and leave.

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) { await caches.delete(name); }
    await self.registration.unregister();
  })());
});
