// A 24 MP JPEG becomes a 50 MP film of 16 bits: ours in Chromium against libvips natively, seven runs of each in turn.
// Ours counts from "make" to the File in hand; the peer's start-up is not counted.
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { kept, load, open } from '../chromium.mjs';
import { root, sleep, temporaryFolder } from '../harness.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const median = (numbers) => [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)];
const spread = (numbers) => `${Math.min(...numbers).toFixed(2)}–${Math.max(...numbers).toFixed(2)} s`;
const RUNS = 7;

/** A Python process with pyvips, fed a job at a time; null where libvips is not installed. */
export async function filmPeer(t) {
  const python = pythonWithVips();
  if (!python) return null;
  const child = spawn(python, [join(here, 'peer.py')], { stdio: ['pipe', 'pipe', 'inherit'] });
  t.after(() => child.kill('SIGKILL'));
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]();
  const next = async () => {
    const { value, done } = await lines.next();
    if (done) throw new Error('the peer ended');
    return JSON.parse(value);
  };
  const { version } = await next();
  return {
    version,
    ask(job) {
      child.stdin.write(`${JSON.stringify(job)}\n`);
      return next();
    },
  };
}

/** A Python that can speak to libvips: the system's, or one of our own under target/. */
function pythonWithVips() {
  const can = (python) => spawnSync(python, ['-c', 'import pyvips'], { stdio: 'ignore' }).status === 0;
  const own = join(root, 'target/bench-python');
  const candidates = ['python3', join(own, 'bin/python')];
  const found = candidates.find(can);
  if (found) return found;
  const library = readdirSync('/usr/lib/x86_64-linux-gnu', { withFileTypes: true }).some(({ name }) => name.startsWith('libvips.so'));
  if (!library) return null;
  if (!existsSync(own)) spawnSync('python3', ['-m', 'venv', own], { stdio: 'inherit' });
  spawnSync(join(own, 'bin/pip'), ['install', '--quiet', 'pyvips==3.2.0'], { stdio: 'inherit' });
  return candidates.find(can) ?? null;
}

/** Memory of all processes of a browser, MiB, shared pages counted once. */
function shareOf(profile) {
  const parents = new Map();
  let browser = null;
  for (const pid of readdirSync('/proc').filter((name) => /^\d+$/.test(name))) {
    try {
      parents.set(pid, readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ')[1]);
      const line = readFileSync(`/proc/${pid}/cmdline`, 'utf8').split('\0');
      if (line.includes(`--user-data-dir=${profile}`) && !line.some((word) => word.startsWith('--type='))) browser = pid;
    } catch {
      // It ended while we looked.
    }
  }
  const below = (pid) => pid === browser || (parents.has(pid) && below(parents.get(pid)));
  let sum = 0;
  for (const pid of parents.keys()) {
    if (!below(pid)) continue;
    try {
      sum += Number(readFileSync(`/proc/${pid}/smaps_rollup`, 'utf8').match(/^Pss:\s+(\d+)/m)[1]) / 1024;
    } catch {
      // As above.
    }
  }
  return sum;
}

/** A JPEG of 24 MP with the detail of a photograph. */
async function picture(peer, path) {
  if (peer) await peer.ask({ make: path, width: 6000, height: 4000 });
  else if (spawnSync('convert', ['-size', '6000x4000', 'plasma:', '-quality', '92', path]).status !== 0) {
    throw new Error('neither libvips nor ImageMagick is here to make the picture');
  }
}

/** Measures and writes the rows of time. */
export async function film(t, server, peer, row) {
  const folder = await temporaryFolder(t, 'sorrel-bench-');
  const source = join(folder, 'picture.jpg');
  await picture(peer, source);

  const browser = await open(t);
  const { page } = browser;
  await load(page, server.origin);
  await kept(page);
  await page.evaluate(prepare);
  await page.setInputFiles('#bench-file', source);

  const make = (format, width, height) =>
    page.evaluate(([format, width, height]) => window.benchFilm(format, width, height), [format, width, height]);
  await make('tiff', 8640, 5760); // the module is compiled and warm, as for the second print of a day

  for (const [format, budget, goal] of [['tiff', 1.0, 0.8], ['png', 0.45, 0.45]]) {
    const ours = [];
    const theirs = [];
    let size = 0;
    let peerSize = 0;
    for (let run = 0; run < RUNS; run++) {
      const made = await make(format, 8640, 5760);
      ours.push(made.seconds);
      size = made.bytes;
      if (!peer) continue;
      const { seconds, bytes } = await peer.ask({ source, target: join(folder, format === 'tiff' ? 'film.tif' : 'film.png'), scale: 1.44 });
      theirs.push(seconds);
      peerSize = bytes;
    }
    const note = `ours ${median(ours).toFixed(2)} s (${spread(ours)})`;
    const what = `24 MP JPEG to 50 MP film, ${format.toUpperCase()}, against the peer`;
    if (!peer) row(what, NaN, budget, '×', `${note}; libvips is not here`);
    else {
      row(what, median(ours) / median(theirs), budget, '×', `${note}; ${peer.version} ${median(theirs).toFixed(2)} s (${spread(theirs)}); goal ${goal}`);
      if (format === 'png') row('PNG file against the peer’s', size / peerSize, 1.05, '×');
    }
  }

  // Each size in turn, the quickest of five: what else the machine does can only add.
  const time = { 10: Infinity, 50: Infinity, 250: Infinity };
  for (let run = 0; run < 5; run++) {
    for (const [megapixels, width] of [[10, 3864], [50, 8640], [250, 19320]]) {
      time[megapixels] = Math.min(time[megapixels], (await make('tiff', width, Math.round(width / 1.5))).seconds);
    }
  }
  const first = (time[50] - time[10]) / 40;
  const second = (time[250] - time[50]) / 200;
  row('marginal time per megapixel, 50 to 250 against 10 to 50 MP', Math.abs(second / first - 1) * 100, 20, '%',
    `quickest of five: 10: ${time[10].toFixed(2)} s, 50: ${time[50].toFixed(2)} s, 250: ${time[250].toFixed(2)} s`);
}

/** Memory of a 250 MP film: its first job in a browser of its own, so that nothing is left over from another. */
export async function memory(t, server, row) {
  const source = join(await temporaryFolder(t, 'sorrel-bench-'), 'picture.jpg');
  const peer = await filmPeer(t);
  await picture(peer, source);
  const { page, profile, close } = await open(t);
  await load(page, server.origin);
  await kept(page);
  await page.evaluate(prepare);
  await page.setInputFiles('#bench-file', source);
  await page.evaluate(() => window.benchReady);
  await sleep(2000);
  const quiet = shareOf(profile);
  let most = quiet;
  const watch = setInterval(() => (most = Math.max(most, shareOf(profile))), 100);
  const { seconds } = await page
    .evaluate(() => window.benchFilm('tiff', 19320, 12880))
    .finally(() => clearInterval(watch));
  const wasm = await page.evaluate(() => window.benchMemory());
  row('growth of all browser processes, 250 MP film', most - quiet, 450, 'MiB', `from ${quiet.toFixed(0)} MiB in a fresh browser, ${seconds.toFixed(2)} s`);
  row('peak wasm memory, 250 MP film', wasm / 2 ** 20, 130, 'MiB', 'the module’s whole memory after its first film');
  await close();
}

/** Runs in the page: speaks to the imaging worker as the page does. */
function prepare() {
  const input = document.createElement('input');
  input.type = 'file';
  input.id = 'bench-file';
  document.body.append(input);

  const worker = new Worker(window.sorrelSite.worker);
  const answers = new Map();
  const ready = new Promise((done, failed) => {
    worker.onerror = (event) => failed(new Error(event.message));
    worker.onmessage = ({ data }) => {
      if (data.type === 'ready') done(data.build);
      else if (data.type === 'memory') answers.get('memory')(data.bytes);
      else if (data.type === 'done') answers.get(data.id)?.done(data);
      else if (data.type === 'fault') answers.get(data.id)?.failed(new Error(`${data.text} ${data.mend}`));
    };
  });
  worker.postMessage({ type: 'start', glue: window.sorrelSite.workerGlue, module: window.sorrelSite.workerModule });

  window.benchReady = ready;
  window.benchMemory = () =>
    new Promise((done) => {
      answers.set('memory', done);
      worker.postMessage({ type: 'memory' });
    });
  let id = 0;
  window.benchFilm = async (format, width, height) => {
    const build = await ready;
    const file = document.querySelector('#bench-file').files[0];
    const correction = Float32Array.from({ length: 4096 }, (_, i) => i / 4095);
    const ppi = 720;
    const mm = (pixels) => (pixels / ppi) * 25.4;
    const params = {
      picture: 'file',
      spec: { width_mm: mm(width), height_mm: mm(height), ppi, border_mm: 0, strip: false, bar: false, label: [] },
      correction: Array.from(correction),
      format,
      file_name: `film.${format}`,
      description: 'bench',
    };
    const began = performance.now();
    id += 1;
    const answer = new Promise((done, failed) => answers.set(id, { done, failed }));
    worker.postMessage({ type: 'job', id, build, kind: 'film', params, file });
    const { result, blob } = await answer;
    let made = blob;
    if (!made) {
      const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle('sorrel-parts');
      const parts = await Promise.all(result.parts.map(async ({ name }) => (await folder.getFileHandle(name)).getFile()));
      made = new Blob(parts, { type: result.media_type });
    }
    return { seconds: (performance.now() - began) / 1000, bytes: made.size, width: result.width, height: result.height };
  };
}
