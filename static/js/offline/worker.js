// What stays on the phone: pages that were opened, for when there is no network, and never instead of it.
// The server leads this file with `self.offline`: version, files, addresses that may be kept, and words.

const { version, files, kept, words, most } = self.offline;
const FILES = `files-${version}`;
const PAGES = "pages";
const mayKeep = kept.map((pattern) => new RegExp(pattern));

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(FILES).then((cache) => cache.addAll(files)));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name !== FILES && name !== PAGES) { await caches.delete(name); }
    }
    await self.clients.claim();
  })());
});

self.addEventListener("message", (event) => {
  const addresses = (event.data?.keep ?? []).map((address) => new URL(address, self.location));
  event.waitUntil(Promise.all(addresses.filter(isPage).map((address) => keep(new Request(address)).catch(() => {}))));
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin) { return; }
  if (address.pathname.startsWith(words.files)) {
    event.respondWith(file(event.request));
  } else if (event.request.mode === "navigate" && (isPage(address) || address.pathname === "/")) {
    event.respondWith(page(event.request));
  }
});

function isPage(address) {
  return address.origin === self.location.origin && mayKeep.some((pattern) => pattern.test(address.pathname));
}

/** Files carry their content in their name, so a kept one is never old. */
async function file(request) {
  const found = await caches.match(request, { ignoreVary: true });
  if (found) { return found; }
  return fetch(request);
}

/** The network first: a recall must show at the next look. Only where it cannot be reached, the copy, with its age. */
async function page(request) {
  try {
    return await keep(request);
  } catch {
    return (await copy(request)) ?? missing(request);
  }
}

async function keep(request) {
  const answer = await fetch(request);
  if (!isPage(new URL(request.url))) { return answer; }
  const cache = await caches.open(PAGES);
  await cache.delete(request.url, { ignoreVary: true });
  if (answer.ok && answer.type === "basic" && !answer.redirected) {
    await cache.put(request.url, answer.clone());
    for (const old of (await cache.keys()).slice(0, -most)) { await cache.delete(old); }
  }
  return answer;
}

async function copy(request) {
  const cache = await caches.open(PAGES);
  const address = new URL(request.url);
  const found = address.pathname === "/"
    ? await cache.match((await cache.keys()).findLast((each) => /^\/[a-z-]+\/$/.test(new URL(each.url).pathname)) ?? request)
    : await cache.match(request.url, { ignoreVary: true });
  if (!found) { return null; }
  const language = found.headers.get("Content-Language") ?? "en";
  const note = `<p class="notice kept-copy" role="status">${aged(language, new Date(found.headers.get("Date")))}</p>`;
  const html = (await found.text()).replace(/<main[^>]*>/, (start) => start + note);
  return new Response(html, { status: 200, headers: found.headers });
}

/** How old a copy is, in words of its language. */
function aged(language, since) {
  const minutes = Math.max(Math.round((Date.now() - since) / 60000), 0);
  const [count, unit] = minutes < 120 ? [minutes, "minute"] : minutes < 2880 ? [Math.round(minutes / 60), "hour"] : [Math.round(minutes / 1440), "day"];
  const ago = new Intl.RelativeTimeFormat(language, { numeric: "auto" }).format(-count, unit);
  return (words.copy[language] ?? words.copy.en).replace("%(ago)s", ago);
}

function missing(request) {
  const language = new URL(request.url).pathname.split("/")[1];
  const text = words.missing[language] ?? words.missing.en;
  const html = `<!DOCTYPE html><html lang="${words.missing[language] ? language : "en"}"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>${text}</title><h1>${text}</h1></html>`;
  return new Response(html, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8", "Cache-Control": "no-store" } });
}
