// Measures every budget of the page and prints one table: `cargo xtask bench`. Times are medians of several runs; what
// depends on the machine is given as a ratio to something measured in the same run. A row whose part is not there says
// "not measured", never a number.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { readFile, readdir, writeFile } from 'node:fs/promises';
import { cpus, totalmem } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { film, filmPeer, memory } from './bench/film.mjs';
import { kept, load, open, ready } from './chromium.mjs';
import { save, serve, site, sleep, testSite } from './harness.mjs';
import { readings } from './light-model.mjs';

const median = (numbers) => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];
const rows = [];

/** A row of the table: value and budget are numbers in the unit; without a value the row says why. */
function row(what, value, budget, unit, note = '') {
  const measured = Number.isFinite(value);
  const verdict = !measured ? 'not measured' : value <= budget ? 'met' : 'MISSED';
  rows.push({ what, value: measured ? `${round(value)} ${unit}` : '', budget: `≤ ${budget} ${unit}`, verdict, note });
  console.error(`${what}: ${measured ? `${round(value)} ${unit}` : 'not measured'} ${note}`);
}
const round = (value) => (value >= 100 ? value.toFixed(0) : value >= 10 ? value.toFixed(1) : value.toFixed(2));

/** Only these parts, if any are named: `node bench.mjs keystroke`. */
const only = process.argv.slice(2);

async function part(name, work) {
  if (only.length && !only.includes(name)) return;
  const ends = [];
  const t = { after: (end) => ends.unshift(end) };
  try {
    await work(t);
  } catch (error) {
    console.error(`${name}: ${error.stack}`);
    rows.push({ what: name, value: '', budget: '', verdict: 'not measured', note: String(error.message).split('\n')[0] });
  } finally {
    for (const end of ends) await end();
  }
}

// ---- What the first load weighs ----------------------------------------------------------------------------------

await part('first load', async (t) => {
  const server = await serve(t);
  const { page, context } = await open(t);
  const asked = new Set();
  context.on('request', (request) => request.serviceWorker() || asked.add(new URL(request.url()).pathname));
  await load(page, server.origin);
  const weigh = async (name) => gzipSync(await readFile(join(site, name)), { level: 9 }).length;
  let first = 0;
  for (const path of asked) {
    const name = path === '/' ? 'index.html' : path.slice(1);
    // Icons and manifest are the browser's own wish, not the page's.
    if (/\.(html|css|js|wasm)$/.test(name)) first += await weigh(name);
  }
  let rest = 0;
  for (const name of await readdir(site)) if (name.startsWith('rest.')) rest += await weigh(name);
  row('first load, gzip -9', first / 1000, 200, 'kB', `${asked.size} requests; ${round(rest / 1000)} kB at the first touch`);
  let imaging = 0;
  for (const name of await readdir(site)) if (/^(imaging|worker)\./.test(name)) imaging += await weigh(name);
  row('imaging module apart, gzip -9', imaging / 1000, 350, 'kB');
});

// ---- How soon it can be used -------------------------------------------------------------------------------------

/** Notes in the page when it says that it answers. */
const watch = (page) =>
  page.addInitScript(() => {
    new MutationObserver(() => {
      if (document.documentElement?.dataset.page === 'ready') window.readyAt ??= performance.now();
    }).observe(document, { attributes: true, subtree: true, attributeFilter: ['data-page'] });
  });
const readyAt = (page) => page.evaluate(() => window.readyAt);

await part('page usable', async (t) => {
  const server = await serve(t);
  const slow = [];
  for (let run = 0; run < 5; run++) {
    const { page, cdp, close } = await open(t);
    await watch(page);
    await cdp.send('Emulation.setCPUThrottlingRate', { rate: 4 });
    await load(page, server.origin);
    slow.push(await readyAt(page));
    await close();
  }
  row('page usable after load, 4× slower processor', median(slow) / 1000, 1, 's', 'median of 5 first loads');
});

await part('offline reload', async (t) => {
  const server = await serve(t);
  const { page } = await open(t);
  await watch(page);
  await load(page, server.origin);
  await kept(page);
  await server.stop();
  const times = [];
  for (let run = 0; run < 7; run++) {
    await page.reload();
    await ready(page);
    times.push(await readyAt(page));
  }
  row('offline reload', median(times) / 1000, 0.5, 's', 'median of 7, server stopped');
});

// ---- A keystroke -------------------------------------------------------------------------------------------------

await part('keystroke', async (t) => {
  const server = await serve(t);
  const { page, cdp } = await open(t);
  await load(page, server.origin);
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  await page.evaluate(() => {
    window.keys = [];
    let began = 0;
    addEventListener('input', () => (began = performance.now()), true);
    // The page answers inside the event; the last listener to hear of it sees the complete new answer.
    addEventListener('input', () => window.keys.push(performance.now() - began));
  });
  const worst = { time: 0, station: '' };
  for (const station of ['negative', 'coat', 'light', 'baths', 'tone', 'stores', 'make']) {
    await page.evaluate((station) => (location.hash = station), station);
    await sleep(300);
    const fields = page.locator(`#${station} input[inputmode]:visible`);
    const times = [];
    for (let i = 0; i < Math.min(await fields.count(), 3); i++) {
      await fields.nth(i).focus();
      await page.evaluate(() => (window.keys = []));
      for (let run = 0; run < 4; run++) {
        await page.keyboard.press('End');
        await page.keyboard.type('1');
        await page.keyboard.press('Backspace');
      }
      times.push(...(await page.evaluate(() => window.keys)));
    }
    if (times.length === 0) continue;
    const late = [...times].sort((a, b) => a - b)[Math.floor(times.length * 0.9)];
    console.error(`  ${station}: ${round(median(times))} ms, nine of ten below ${round(late)} ms`);
    if (late > worst.time) Object.assign(worst, { time: late, station });
  }
  row('keystroke to a complete answer, 4× slower processor', worst.time || NaN, 16, 'ms', `nine of ten, worst station: ${worst.station}`);
});

await part('keystroke in a large book', async (t) => {
  const server = await serve(t);
  const { page, cdp } = await open(t);
  await load(page, `${server.origin}/#coat`);
  // A thousand bottles and five thousand records, put where the page keeps them.
  await page.evaluate(async () => {
    const done = (request) => new Promise((good, bad) => Object.assign(request, { onsuccess: () => good(request.result), onerror: bad }));
    const db = await done(indexedDB.open('sorrel'));
    const transaction = db.transaction('objects', 'readwrite');
    const objects = transaction.objectStore('objects');
    for (let i = 0; i < 1000; i++) {
      const content = ['iron', 'palladium', 'platinum', 'agent', 'surfactant'][i % 5];
      const bottle = { name: `lot ${i}`, content, strength: '15', size: '50', price: '26', left: '20' };
      objects.put({ rev: 1, object: { bottle } }, `bottle/b${i}`);
    }
    for (let i = 0; i < 5000; i++) objects.put({ rev: 1, object: { record: { number: i + 1, rating: '4' } } }, `record/r${i}`);
    await new Promise((good) => (transaction.oncomplete = good));
    db.close();
  });
  await page.reload();
  await ready(page);
  await page.getByText('more stand at the stores').waitFor();
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  const times = await page.evaluate(async () => {
    const field = document.querySelector('#coat [name="width"]');
    const times = [];
    for (let i = 0; i < 24; i++) {
      field.value = String(200 + i);
      const began = performance.now();
      field.dispatchEvent(new Event('input', { bubbles: true }));
      times.push(performance.now() - began);
      await new Promise((next) => setTimeout(next, 50));
    }
    return times;
  });
  const late = [...times].sort((a, b) => a - b)[Math.floor(times.length * 0.9)];
  row('a complete mix, 1000 bottles and 5000 records, 4× slower', late, 16, 'ms', 'nine of ten keystrokes');
});

// ---- The light -----------------------------------------------------------------------------------------------------

await part('step print', async (t) => {
  if (!existsSync(testSite)) throw new Error('the test site is not built');
  const server = await serve(t, testSite);
  const { page, cdp } = await open(t);
  await load(page, `${server.origin}/#light`);
  const curve = await page.evaluate(() => {
    if (!wasm_bindgen.bench_step_print) return null;
    return Array.from({ length: 15 }, () => {
      const began = performance.now();
      if (!Number.isFinite(wasm_bindgen.bench_step_print())) throw new Error('no curve');
      return performance.now() - began;
    });
  });
  row('paper curve of 21 steps with 200 repeats, in the browser', curve ? median(curve) : NaN, 150, 'ms', 'median of 15');

  await page.getByLabel('Time of the step print (10:00, 10 min or 600)').fill('15:00');
  await page.getByLabel('A number a step from the clear end on, densities or L*').fill(readings(900).map((d) => d.toFixed(2)).join(' '));
  await page.getByText('from 21 steps').first().waitFor();
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  const times = await page.evaluate(async () => {
    const slider = document.querySelector('#light input[name="what"]');
    const times = [];
    for (let i = 0; i <= 60; i++) {
      slider.value = String(-3 + i / 10);
      const began = performance.now();
      slider.dispatchEvent(new Event('input', { bubbles: true }));
      times.push(performance.now() - began);
      await new Promise((next) => setTimeout(next, 50));
    }
    return times;
  });
  const late = [...times].sort((a, b) => a - b)[Math.floor(times.length * 0.9)];
  const first = Math.max(...times.slice(0, 5)).toFixed(0);
  row('the print tried at another time, 4× slower processor', late, 16, 'ms', `nine of ten moves from end to end; of the first five up to ${first}`);
});

// ---- The tone fit ------------------------------------------------------------------------------------------------

await part('fit', async (t) => {
  if (!existsSync(testSite)) throw new Error('the test site is not built');
  const server = await serve(t, testSite);
  const { page } = await open(t);
  await load(page, server.origin);
  const time = await page.evaluate(() => {
    if (!wasm_bindgen.bench_fit) return null;
    const times = Array.from({ length: 25 }, () => {
      const began = performance.now();
      for (let i = 0; i < 4; i++) wasm_bindgen.bench_fit(115);
      return (performance.now() - began) / 4;
    });
    return times.sort((a, b) => a - b)[12];
  });
  row('fit of 115 patches, robust rounds and band', time ?? NaN, 5, 'ms', 'median of 25');
  const many = await page.evaluate(() => {
    if (!wasm_bindgen.bench_fit) return null;
    const times = Array.from({ length: 5 }, () => {
      const began = performance.now();
      for (let i = 0; i < 200; i++) wasm_bindgen.bench_fit(115);
      return (performance.now() - began) / 1000;
    });
    return times.sort((a, b) => a - b)[2];
  });
  row('200 fits of it, as a bootstrap would', many ?? NaN, 0.6, 's', 'median of 5');
});

// ---- Pixels ------------------------------------------------------------------------------------------------------

await part('film', async (t) => {
  const peer = await filmPeer(t);
  const server = await serve(t);
  await film(t, server, peer, row);
});

await part('memory', async (t) => {
  await memory(t, await serve(t), row);
});

// ---- The table ---------------------------------------------------------------------------------------------------

const heads = ['what', 'value', 'budget', 'verdict', 'note'];
const width = (head) => Math.max(head.length, ...rows.map((row) => row[head].length));
const line = (row) => `| ${heads.map((head) => row[head].padEnd(width(head))).join(' | ')} |`;
const version = spawnSync('chromium', ['--version'], { encoding: 'utf8' }).stdout?.trim();
const table = [
  line(Object.fromEntries(heads.map((head) => [head, head]))),
  `|${heads.map((head) => '-'.repeat(width(head) + 2)).join('|')}|`,
  ...rows.map(line),
  '',
  `${cpus().length} × ${cpus()[0].model.trim()}, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, ${version}`,
].join('\n');
console.log(`\n${table}`);
await save('bench.md', Buffer.from(`${table}\n`));
await writeFile(join(site, '../bench.json'), JSON.stringify(rows, null, 1));
