// Makes the page there without a network. A new program has another VERSION and comes as a whole; the pages that are open
// keep the one that they began with.
"use strict";

const cached = caches.open(VERSION);
const here = new URL("./", location).pathname;

addEventListener("install", (event) => event.waitUntil(cached.then((cache) => cache.addAll(FILES))));

addEventListener("activate", (event) => event.waitUntil(caches.keys().then((names) => Promise.all(
  names.filter((name) => name.startsWith("seepline-") && name !== VERSION).map((name) => caches.delete(name)),
))));

addEventListener("fetch", (event) => {
  const { pathname } = new URL(event.request.url);
  // What a server beside the folder gives and takes goes to it straight.
  if (!pathname.startsWith(here)) return;
  const name = pathname === here ? "./" : event.request;
  event.respondWith(cached.then(async (cache) => (await cache.match(name, { ignoreSearch: true })) ?? fetch(event.request)));
});
