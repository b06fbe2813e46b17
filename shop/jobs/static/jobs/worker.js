/* Keeps the bench's pages, and what they are made of, for when there is no signal. With a signal everything
   comes from the shop; entries are never handled here, the page itself keeps them. */
"use strict";

const KEPT = "bench";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

async function fresh(request) {
  const store = await caches.open(KEPT);
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) await store.put(request, answer.clone());
    return answer;
  } catch (fault) {
    const old = await store.match(request);
    if (old) return old;
    throw fault;
  }
}

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  const ours = address.pathname.startsWith("/bench/") || address.pathname.startsWith("/static/");
  if (event.request.method === "GET" && address.origin === self.location.origin && ours) {
    event.respondWith(fresh(event.request));
  }
});
