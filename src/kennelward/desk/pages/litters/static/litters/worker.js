// Keeps the whelping page and its files at hand, so that it opens with the network cut.
// A page that the desk no longer gives to this phone (logged out, shut off) is thrown away.
const KEPT = "kennelward-night-2";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) =>
  event.waitUntil(
    caches
      .keys()
      .then((names) =>
        Promise.all(names.filter((name) => name !== KEPT).map((n) => caches.delete(n))),
      )
      .then(() => self.clients.claim()),
  ),
);

async function fromDesk(request) {
  const answer = await fetch(request);
  const isSentAway = answer.redirected || answer.type === "opaqueredirect";
  if (isSentAway || answer.status === 403) await caches.delete(KEPT);
  else if (answer.ok) await (await caches.open(KEPT)).put(request, answer.clone());
  return answer;
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const { pathname, origin } = new URL(request.url);
  if (origin !== self.location.origin) return;
  if (!pathname.includes("/litters/night/") && !pathname.startsWith("/static/")) return;
  event.respondWith(
    fromDesk(request).catch(
      async () => (await caches.match(request)) || Response.error(),
    ),
  );
});
