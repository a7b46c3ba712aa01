/* Worker: keeps the rigs that are carried, and answers with them when the notebook does not.
   The notebook goes first, always. What is kept is stamped with its day when it is kept, so that no
   old answer can pass for a new one. Redirected pages (the entrance, when a passcode is asked for)
   and refusals are never kept. VERSION and SHARED are put in front by the server. */
"use strict";
const SHELL = `tapewright-shell-${VERSION}`, RIGS = "tapewright-rig-", FALLBACK = "/outbox";
const META = "/carried-meta", STAMP = "Carried-On", OF = "Carried-Version", PACKED = "Carried-Packed";
const BETWEEN = [502, 503, 504];  /* what a proxy says while the notebook is down; our own answers are timed */
const SLOW_MS = 1500, ALIVE_MS = 2500, PATIENCE_MS = 60000;
const RIG = /^\/rigs\/([0-9a-f]{20})(\/|$)/, PACK = /^\/api\/rigs\/([0-9a-f]{20})\/pack$/;
const PAGES = [  /* address behind the rig's, name, whether a rig is carried without it */
  ["", "the rig", false], ["/shoot", "shooting", false], ["/groups/new", "a new group", false],
  ["/marks", "marks and trust", true], ["/plan", "what to shoot next", true],
  ["/ask/card", "range card", true], ["/ask/slopes", "slopes", true], ["/ask/wind", "wind", true],
  ["/carried", "corrections and marks on the spot", true],
];
const WHOLE = "?now=1";  /* asks for the rig's page with its next step, which else comes afterwards */
const UNFINISHED = 'aria-busy="true"', ASKED = /\/ask\/(card|slopes|wind)$/;

AbortSignal.timeout ??= (ms) => {
  const stop = new AbortController();
  setTimeout(() => stop.abort(), ms);
  return stop.signal;
};

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const shell = await caches.open(SHELL);
    await shell.addAll([...SHARED, FALLBACK].map((one) => new Request(one, { cache: "reload" })));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    await self.clients.claim();
    await sweep();
  })());
});

/* Old versions go once no carried page needs them. */
async function sweep() {
  const needed = new Set([SHELL]);
  for (const name of await caches.keys()) {
    if (!name.startsWith(RIGS)) continue;
    const rig = await caches.open(name);
    for (const request of await rig.keys()) {
      const of = (await rig.match(request)).headers.get(OF);
      if (of) needed.add(`tapewright-shell-${of}`);
    }
  }
  for (const name of await caches.keys()) {
    if (name.startsWith("tapewright-shell-") && !needed.has(name)) await caches.delete(name);
  }
}

/* What may be kept: a whole answer, from its own address. */
const isKeepable = (answer) => answer.status === 200 && answer.type === "basic" && !answer.redirected;

async function stamped(answer) {
  const when = new Date().toISOString(), headers = new Headers(answer.headers);
  const isPage = (headers.get("Content-Type") || "").startsWith("text/html");
  headers.set(STAMP, when);
  headers.set(OF, VERSION);
  headers.delete("Content-Encoding");
  headers.delete("Content-Length");
  let body = isPage ? await answer.text() : await answer.arrayBuffer();
  if (isPage) body = body.replace(/<html /, `<html data-carried="${when}" `);
  if (typeof CompressionStream !== "undefined") {
    headers.set(PACKED, "gzip");
    body = await new Response(new Blob([body]).stream().pipeThrough(new CompressionStream("gzip"))).arrayBuffer();
  }
  return new Response(body, { status: 200, headers });
}

/* What is kept lies packed where the browser can pack; along.js has the same for pages. */
function unpacked(kept) {
  if (!kept || !kept.headers.get(PACKED)) return kept;
  const { status, headers } = kept;
  return new Response(kept.body.pipeThrough(new DecompressionStream("gzip")), { status, headers });
}

/* Carry a rig: all of it is fetched before anything is kept. */
async function carry(rig) {
  const base = `/rigs/${rig}`, found = [], missing = [];
  for (const [end, name, isOptional] of [...PAGES, ["pack", "its calibration", true]]) {
    const address = end === "pack" ? `/api${base}/pack` : base + end;
    let answer = null;
    for (let left = 3; left && (!answer || answer.status === 429); left -= 1) {
      answer = await fetch(end ? address : address + WHOLE, { cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS) });
    }
    if (answer.redirected || answer.status === 401) return { wrong: "passcode" };
    if (isKeepable(answer)) found.push([address, name, await stamped(answer)]);
    else if (!isOptional) return { wrong: "refused", name };
    else missing.push(name);
  }
  const cache = await caches.open(RIGS + rig), bytes = { sum: 0 };
  const kept = new Set(found.map(([address]) => address));
  for (const [address, , answer] of found) {
    bytes.sum += (await answer.clone().arrayBuffer()).byteLength;
    await cache.put(address, answer);
  }
  for (const request of await cache.keys()) {  /* what an older version carried besides */
    const { pathname, search } = new URL(request.url);
    if (!search && pathname !== META && !kept.has(pathname)) await cache.delete(request);
  }
  const meta = {
    rig, when: new Date().toISOString(), version: VERSION, bytes: bytes.sum,
    names: found.map(([, name]) => name), pages: [...kept], missing,
  };
  await cache.put(META, new Response(JSON.stringify(meta)));
  await sweep();
  return meta;
}

/* Rigs that an older version carried are carried anew, one after another. */
async function renewed() {
  for (const name of await caches.keys()) {
    const found = name.startsWith(RIGS) && (await (await caches.open(name)).match(META));
    const meta = found && (await found.json());
    if (meta && meta.version !== VERSION) await carry(meta.rig);
  }
  return {};
}

self.addEventListener("message", (event) => {
  const { carry: rig, drop, renew } = event.data || {}, port = event.ports[0];
  const answer = (promise) => event.waitUntil(promise.then(
    (told) => port && port.postMessage({ told }),
    (error) => port && port.postMessage({ told: { wrong: error && error.name === "QuotaExceededError" ? "room" : "signal" } }),
  ));
  if (renew) answer(renewed());
  if (rig) answer(carry(rig));
  if (drop) answer(caches.delete(RIGS + drop).then(async (gone) => { await sweep(); return { gone }; }));
});

self.addEventListener("fetch", (event) => {
  const { request } = event, url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(shared(request));
  else if (request.mode === "navigate" || PACK.test(url.pathname)) event.respondWith(told(event, url));
});

/* Addresses of shared files change with their content, so one that is kept is the right one. */
async function shared(request) {
  return (await caches.match(request)) || fetch(request);
}

async function isAlive() {
  try {
    const answer = await fetch("/health", { cache: "no-store", signal: AbortSignal.timeout(ALIVE_MS) });
    return answer.ok && (await answer.text()) === "well";
  } catch { return false; }
}

/* The notebook's own answer; an error if it does not answer. A slow one is waited for as long as
   the notebook is alive. */
async function fresh(request) {
  const answer = fetch(request);
  answer.catch(() => {});
  const slow = new Promise((resolve) => { setTimeout(resolve, SLOW_MS, null); });
  const first = (await Promise.race([answer, slow])) || ((await isAlive()) && (await answer));
  const isDown = first && BETWEEN.includes(first.status) && (!first.headers.has("Server-Timing") || !(await isAlive()));
  if (!first || isDown) throw new TypeError("no answer");
  return first;
}

/* A page or a pack: the notebook's, else what is kept; in the place of a page what this phone keeps. */
async function told(event, url) {
  let answer;
  try {
    answer = await fresh(event.request);
  } catch {
    const isPage = event.request.mode === "navigate";
    return (await carried(url)) || (isPage && (await (await caches.open(SHELL)).match(FALLBACK))) || Response.error();
  }
  if (isKeepable(answer)) event.waitUntil(seen(url, answer.clone()));
  return answer;
}

/* A page of a carried rig that was just seen takes the place of the one that is kept. An answer to
   a question is kept under its whole address, so that none is shown for another question. */
async function seen(url, answer) {
  const found = RIG.exec(url.pathname) || PACK.exec(url.pathname);
  if (!found || !(await caches.has(RIGS + found[1]))) return;
  const end = url.pathname.slice(`/rigs/${found[1]}`.length);
  const isPage = PACK.test(url.pathname) || PAGES.some(([one]) => one === end);
  if (!isPage || (url.search && !ASKED.test(url.pathname))) return;
  if (!end && (await answer.clone().text()).includes(UNFINISHED)) return;
  const cache = await caches.open(RIGS + found[1]);
  if (url.search) {  /* of each question the last answer */
    for (const request of await cache.keys()) {
      const other = new URL(request.url);
      if (other.pathname === url.pathname && other.search) await cache.delete(request);
    }
  }
  await cache.put(url.pathname + url.search, await stamped(answer));
}

async function carried(url) {
  const found = RIG.exec(url.pathname) || PACK.exec(url.pathname);
  if (!found || !(await caches.has(RIGS + found[1]))) return undefined;
  const cache = await caches.open(RIGS + found[1]);
  const exact = await cache.match(url.pathname + url.search);
  if (exact) return unpacked(exact);
  if (ASKED.test(url.pathname)) return undefined;  /* another question */
  return unpacked(await cache.match(url.pathname));  /* its script fills in what the address says */
}
