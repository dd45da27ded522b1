// Runs the imaging module inside a worker: loads it when the page posts { type: "start", glue, module }, then hands it
// one job after the other. What page and worker say to each other is written down in crates/worker/src/protocol.rs.
'use strict';

let running = 0; // number of the job in hand, 0 while starting
let exports = null; // of the module
let dead = false; // a module that panicked must not be entered again

function fault(id, text, mend) {
  postMessage({ type: 'fault', id, culprit: 'device', text, mend });
}

async function start({ glue, module }) {
  importScripts(glue);
  exports = await wasm_bindgen({ module_or_path: module });
  postMessage({ type: 'ready', build: wasm_bindgen.build() });
}

// A module's memory never shrinks: this is the most it ever had. Asked by measurements only.
function memory() {
  postMessage({ type: 'memory', bytes: exports.memory.buffer.byteLength });
}

async function job(message) {
  if (dead) return;
  running = message.id;
  await wasm_bindgen.run(message);
}

function broke(error) {
  if (dead) return;
  dead = true;
  const why = (error && error.message) || 'unknown reason';
  fault(running, `The part of Sorrel that reads pictures has stopped (${why}).`, 'Try again; if it happens with this picture only, export it anew.');
}

// Jobs posted while one is running, or before the module is there, wait in this chain.
let last = Promise.resolve();
addEventListener('message', ({ data }) => {
  const next = { start, memory }[data.type] ?? job;
  last = last.then(() => next(data)).catch(broke);
});
// A panic inside a task of the module reaches neither promise.
addEventListener('error', (event) => {
  event.preventDefault();
  broke(event.error || event);
});
addEventListener('unhandledrejection', (event) => {
  event.preventDefault();
  broke(event.reason);
});
