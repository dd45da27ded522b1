// Starts the imaging module inside a worker. The page posts { type: "start", glue, module } first.
'use strict';

addEventListener('message', async ({ data }) => {
  importScripts(data.glue);
  await wasm_bindgen({ module_or_path: data.module });
}, { once: true });
