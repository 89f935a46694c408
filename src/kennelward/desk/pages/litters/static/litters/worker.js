// Keeps the whelping page and its files at hand, so that it opens with the network cut.
const KEPT = "kennelward-night-1";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const { pathname, origin } = new URL(request.url);
  if (origin !== self.location.origin) return;
  if (!pathname.includes("/litters/night/") && !pathname.startsWith("/static/")) return;
  event.respondWith(
    fetch(request)
      .then((answer) => {
        if (answer.ok && !answer.redirected) {
          const copy = answer.clone();
          caches.open(KEPT).then((kept) => kept.put(request, copy));
        }
        return answer;
      })
      .catch(async () => (await caches.match(request)) || Response.error()),
  );
});
