// The service worker: answers every request of the page from this device.
//
// It knows no build. Each build of the site lies complete in a cache of its own (`sorrel-build-<id>`), and a pointer
// (the one entry of the cache `sorrel-pointer`) says which build a navigation gets. Only the page moves the pointer,
// on a tap, when no lane is running; so a page that was killed in the middle of an exposure reopens exactly as it was,
// whatever lies on the server by then, and it does not matter when this file itself is replaced.
//
// `build.json` lists the files of the build that lies on the server: { build, files: [{ path, type, sha256 }] }.
// A build is stored all or nothing: every file is fetched past the browser's cache and compared with its sum before
// the first is stored, and the list is stored last, as the sign that the build is complete.
'use strict';

const BUILD = 'sorrel-build-';
const POINTER = 'sorrel-pointer';
const LIST = new URL('build.json', registration.scope).href;
const HOME = registration.scope;
const CURRENT = new URL('current', registration.scope).href;

const hex = (buffer) => Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, '0')).join('');

/** The file list of a build that lies complete on this device, or null. */
async function stored(build) {
  if (!(await caches.has(BUILD + build))) return null;
  const list = await (await caches.open(BUILD + build)).match(LIST);
  return list ? list.json() : null;
}

/** The builds that lie complete on this device, oldest first. */
async function builds() {
  const found = [];
  for (const name of await caches.keys()) {
    if (!name.startsWith(BUILD)) continue;
    const build = name.slice(BUILD.length);
    if (await stored(build)) found.push(build);
  }
  return found;
}

/** The build that navigations get: where the pointer points, else the oldest (old builds go only after a move). */
async function current() {
  const pointer = await (await caches.open(POINTER)).match(CURRENT);
  const build = pointer ? await pointer.text() : '';
  if (build && (await stored(build))) return build;
  return (await builds())[0] ?? null;
}

/** Stores the build that lies on the server beside the others; answers its id. Throws when anything is amiss. */
let fetching = null;
function fetchBuild() {
  fetching ??= fetchWholeBuild().finally(() => (fetching = null));
  return fetching;
}

async function fetchWholeBuild() {
  const answer = await fetch(LIST, { cache: 'no-store' });
  if (!answer.ok) throw new Error(`build.json: ${answer.status}`);
  const text = await answer.text();
  const list = JSON.parse(text);
  if (await stored(list.build)) return list.build;

  const files = await Promise.all(
    list.files.map(async ({ path, type, sha256 }) => {
      const url = new URL(path, registration.scope).href;
      const file = await fetch(url, { cache: 'reload' });
      if (!file.ok) throw new Error(`${path}: ${file.status}`);
      const bytes = await file.arrayBuffer();
      if (hex(await crypto.subtle.digest('SHA-256', bytes)) !== sha256) {
        throw new Error(`${path} is not the file of build ${list.build}`);
      }
      return { url, bytes, type };
    }),
  );
  await caches.delete(BUILD + list.build);
  const cache = await caches.open(BUILD + list.build);
  for (const { url, bytes, type } of files) {
    await cache.put(url, new Response(bytes, { headers: { 'Content-Type': type } }));
  }
  await cache.put(LIST, new Response(text, { headers: { 'Content-Type': 'application/json' } }));
  return list.build;
}

/** Drops the builds that nobody needs: neither current, nor on offer, nor that of the one page that is open. */
async function sweep(open, offered) {
  const pages = await clients.matchAll({ type: 'window', includeUncontrolled: true });
  if (pages.length > 1) return;
  const keep = [await current(), open, offered];
  for (const name of await caches.keys()) {
    if (name.startsWith(BUILD) && !keep.includes(name.slice(BUILD.length))) await caches.delete(name);
  }
}

addEventListener('install', (event) => {
  event.waitUntil(
    (async () => {
      // A newer service worker over stored builds has nothing to fetch, and must also install without a network.
      if (!(await current())) {
        const build = await fetchBuild();
        await (await caches.open(POINTER)).put(CURRENT, new Response(build));
      }
      await skipWaiting();
    })(),
  );
});

addEventListener('activate', (event) => event.waitUntil(clients.claim()));

addEventListener('message', (event) => {
  const [port] = event.ports;
  if (event.data?.type !== 'look-for-build' || !port) return;
  event.waitUntil(
    (async () => {
      const now = await current();
      try {
        const offered = await fetchBuild();
        await sweep(event.data.build, offered);
        port.postMessage({ current: now, offered });
      } catch (error) {
        port.postMessage({ current: now, fault: String(error?.message ?? error) });
      }
    })(),
  );
});

async function answer(request, url) {
  const build = await current();
  const cache = build && (await caches.open(BUILD + build));
  const path = url.origin + url.pathname;
  const document = path === HOME || path === `${HOME}index.html`;
  const found =
    (cache && (await cache.match(document ? HOME : path))) ||
    // A page of another build, still open, may ask for its own files; their names carry their content's sum.
    (await caches.match(path));
  return found || fetch(request);
}

addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== location.origin) return;
  if (url.href.startsWith(LIST)) return;
  event.respondWith(answer(request, url));
});
