// Starts the page: hands the addresses of the modules over, loads the page's module, registers the service worker,
// offers new builds, and says what to do when the module has died. Everything else is Rust.
//
//   window.sorrelSite    { build, worker, workerGlue, workerModule }: absolute addresses for the imaging worker
//   window.sorrelRest    () => promise: loads the rest of the module, which a first look does without
//   window.sorrelUpdate  { ready(callback), use(), offline(callback) }, see below
//   window.sorrelDead    (text) => called by the panic hook; a trap in the module is also noticed without it
//   localStorage 'sorrel-lanes'  a copy of the running lanes, kept by the page: [{ title, step, end }], end in
//                        milliseconds since 1970; shown as text when the module is dead
'use strict';

(() => {
  const site = document.currentScript.dataset;
  const absolute = (path) => new URL(path, document.baseURI).href;

  window.sorrelSite = {
    build: site.build,
    worker: absolute(site.worker),
    workerGlue: absolute(site.workerGlue),
    workerModule: absolute(site.workerModule),
  };

  // ---- New builds --------------------------------------------------------------------------------------------

  let offered = null;
  let kept = null;
  const onReady = [];
  const onOffline = [];

  const offer = (build) => {
    offered = build;
    for (const callback of onReady) callback(build);
  };
  const tellOffline = (text) => {
    kept = text;
    for (const callback of onOffline) callback(text);
  };

  window.sorrelUpdate = {
    /** Calls back with the id of a newer build once it lies complete on this device. */
    ready(callback) {
      onReady.push(callback);
      if (offered) callback(offered);
    },
    /** Uses the newer build from now on. To be called on a tap, and never while a lane is running. */
    async use() {
      if (!offered) return;
      const pointer = await caches.open('sorrel-pointer');
      await pointer.put(absolute('current'), new Response(offered));
      location.reload();
    },
    /** Calls back with '' once the whole site is kept on this device, else with the reason why it is not. */
    offline(callback) {
      onOffline.push(callback);
      if (kept !== null) callback(kept);
    },
  };

  async function keepSite() {
    if (!('serviceWorker' in navigator)) {
      tellOffline(isSecureContext ? 'this browser keeps no sites' : 'the page was not opened over https');
      return;
    }
    try {
      await navigator.serviceWorker.register(absolute('sw.js'), { updateViaCache: 'none' });
      const { active } = await navigator.serviceWorker.ready;
      const { port1, port2 } = new MessageChannel();
      const answer = new Promise((resolve) => (port1.onmessage = ({ data }) => resolve(data)));
      active.postMessage({ type: 'look-for-build', build: site.build }, [port2]);
      const { current, offered: newest, fault } = await answer;
      tellOffline(current ? '' : fault);
      // Another page may have moved on already: then what is current is what is on offer here.
      const next = newest && newest !== site.build ? newest : current;
      if (next && next !== site.build) offer(next);
    } catch (error) {
      tellOffline(String(error?.message ?? error));
    }
  }

  // ---- When the module has died ------------------------------------------------------------------------------

  let dead = false;

  const element = (tag, text, className) => {
    const made = document.createElement(tag);
    if (text) made.textContent = text;
    if (className) made.className = className;
    return made;
  };

  function runningLanes() {
    try {
      const lanes = JSON.parse(localStorage.getItem('sorrel-lanes') ?? '[]');
      return lanes.map(({ title, step, end }) => `${title}: ${step} ends at ${new Date(end).toLocaleTimeString()}`);
    } catch {
      return [];
    }
  }

  function die(reason, title = 'The page has stopped') {
    if (dead) return;
    dead = true;
    // A module that trapped must not be entered again: nothing reaches its listeners any more.
    const panel = element('div', '', 'dead-page');
    for (const type of ['click', 'input', 'change', 'keydown', 'keyup', 'pointerdown', 'pointerup', 'submit', 'toggle']) {
      addEventListener(type, (event) => panel.contains(event.target) || event.stopImmediatePropagation(), true);
    }
    for (const child of document.body.children) child.inert = true;
    panel.setAttribute('role', 'alertdialog');
    panel.setAttribute('aria-labelledby', 'dead-page-title');
    const heading = element('h2', title);
    heading.id = 'dead-page-title';
    panel.append(heading, element('p', 'Everything you typed is stored. Reload the page to go on.'));

    const lanes = runningLanes();
    if (lanes.length > 0) {
      const list = element('ul');
      list.append(...lanes.map((text) => element('li', text)));
      panel.append(element('p', 'Still running, by the clock of this device:'), list);
    }
    const reload = element('button', 'Reload');
    reload.type = 'button';
    reload.addEventListener('click', () => location.reload());
    panel.append(reload);
    window.sorrelUpdate.ready(() => {
      if (lanes.length > 0) return;
      const use = element('button', 'Use the new version');
      use.type = 'button';
      use.addEventListener('click', () => window.sorrelUpdate.use());
      panel.append(use);
    });
    panel.append(element('p', `What happened: ${reason}`, 'small'));
    document.body.append(panel);
    reload.focus();
  }

  window.sorrelDead = die;
  addEventListener('error', ({ error }) => error instanceof WebAssembly.RuntimeError && die(error.message));
  addEventListener('unhandledrejection', ({ reason }) => reason instanceof WebAssembly.RuntimeError && die(reason.message));

  // ---- The rest of the module --------------------------------------------------------------------------------

  let front = null;
  let rest = null;

  /** Loads the rest of the module, once. It shares memory and functions with the front. */
  window.sorrelRest = () => {
    rest ??= (async () => {
      const answer = await fetch(absolute(site.rest));
      if (!answer.ok) throw new Error(`the answer was ${answer.status}`);
      await WebAssembly.instantiate(await answer.arrayBuffer(), { front: await front });
    })();
    // Asked again, it is tried again.
    rest.catch(() => (rest = null));
    return rest;
  };

  // Whoever touches the page will want it soon.
  const touched = () => void window.sorrelRest().catch(() => {});
  for (const type of ['pointerdown', 'keydown']) addEventListener(type, touched, { once: true, capture: true });

  // ---- Start -------------------------------------------------------------------------------------------------

  (async () => {
    try {
      front = wasm_bindgen({ module_or_path: absolute(site.module) });
      await front;
    } catch (error) {
      die(
        `${error?.message ?? error}. Sorrel needs Safari 16.4, Chrome 97, Firefox 114 or newer.`,
        'The page could not start',
      );
    }
    await keepSite();
  })();
})();
