// What every page test needs: the site served on a free port, a browser with a profile of its own, and ways to be rough
// with both. Nothing here knows what the page is about.
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cp, mkdir, mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { PNG } from 'pngjs';

const here = dirname(fileURLToPath(import.meta.url));
export const root = resolve(here, '../..');
export const out = join(here, 'out');

/** The finished site as it is shipped, and the one whose clock tests can move. */
export const site = join(root, 'target/site');
export const testSite = join(root, 'target/test-site');

export const stations = ['negative', 'coat', 'light', 'baths', 'book', 'tone', 'stores', 'make', 'workroom'];
export const looks = ['paper', 'amber', 'red'];
export const widths = [320, 1024, 1440];

/** A real photograph, from a registry package; see README.md for its licence. */
export const photograph = join(here, 'node_modules/exif-parser/test/starfish.jpg');

export const sleep = (ms) => new Promise((done) => setTimeout(done, ms));

/** Asks until the answer is true, or throws with what was waited for. */
export async function until(what, ask, { timeout = 15_000, every = 50 } = {}) {
  const end = Date.now() + timeout;
  for (;;) {
    const answer = await ask();
    if (answer) return answer;
    if (Date.now() > end) throw new Error(`waited ${timeout / 1000} s for: ${what}`);
    await sleep(every);
  }
}

/** A folder that goes away with the test. */
export async function temporaryFolder(t, prefix = 'sorrel-') {
  const folder = await mkdtemp(join(tmpdir(), prefix));
  t.after(() => rm(folder, { recursive: true, force: true, maxRetries: 5 }));
  return folder;
}

/** Our own server (`cargo xtask serve`) over a folder; `stop` ends it for good, `start` brings it back on its port. */
export async function serve(t, folder = site) {
  const program = process.env.SORREL_XTASK ?? join(root, 'target/debug/sorrel-xtask');
  const server = { origin: '', process: null };
  server.start = async () => {
    const port = server.origin ? new URL(server.origin).port : '0';
    server.process = spawn(program, ['serve', '--folder', folder, '--port', port], { stdio: ['ignore', 'pipe', 'inherit'] });
    server.origin = await new Promise((found, failed) => {
      let printed = '';
      server.process.stdout.on('data', (piece) => {
        printed += piece;
        const address = printed.match(/http:\/\/[\d.:]+/);
        if (address) found(address[0]);
      });
      server.process.on('error', failed);
      server.process.on('exit', (code) => failed(new Error(`the server ended (${code}): ${printed}`)));
    });
  };
  server.stop = async () => {
    const { process } = server;
    if (!process || process.exitCode !== null || process.signalCode !== null) return;
    const gone = new Promise((done) => process.on('exit', done));
    process.kill('SIGKILL');
    await gone;
  };
  t.after(server.stop);
  await server.start();
  return server;
}

/** A copy of a site that can be changed while it is served. */
export async function copyOfSite(t, from = site) {
  const folder = join(await temporaryFolder(t), 'site');
  await cp(from, folder, { recursive: true });
  return folder;
}

/** Turns a copy of the site into another build: one more sentence in the document, and all sums right. */
export async function deploy(folder, sentence) {
  const list = JSON.parse(await readFile(join(folder, 'build.json'), 'utf8'));
  const build = createHash('sha256').update(list.build + sentence).digest('hex').slice(0, 12);
  const page = join(folder, 'index.html');
  const text = (await readFile(page, 'utf8'))
    .replace(`data-build="${list.build}"`, `data-build="${build}"`)
    .replace('</body>', `<!-- ${sentence} --></body>`);
  await writeFile(page, text);
  list.build = build;
  list.files.find(({ path }) => path === './').sha256 = createHash('sha256').update(text).digest('hex');
  await writeFile(join(folder, 'build.json'), JSON.stringify(list));
  return build;
}

/** The sum of each colour channel's highest value: what a screen would emit at most. */
export function brightest(screenshot) {
  const { data } = PNG.sync.read(screenshot);
  const most = { red: 0, green: 0, blue: 0 };
  for (let i = 0; i < data.length; i += 4) {
    most.red = Math.max(most.red, data[i]);
    most.green = Math.max(most.green, data[i + 1]);
    most.blue = Math.max(most.blue, data[i + 2]);
  }
  return most;
}

/** The files in a folder of downloads that are complete. */
export async function downloads(folder) {
  return (await readdir(folder)).filter((name) => !name.endsWith('.crdownload') && !name.endsWith('.part'));
}

/** Saves a picture for people to look at. */
export async function save(name, bytes) {
  await mkdir(out, { recursive: true });
  await writeFile(join(out, name), bytes);
}
