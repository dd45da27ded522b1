// Large files leave the page whole, without passing through its memory: a test file goes through the door films leave
// through. Budget of memory: the growth of all browser processes while 512 MB are written and downloaded.
import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { createReadStream, readFileSync, readdirSync } from 'node:fs';
import { rm, stat } from 'node:fs/promises';
import { test } from 'node:test';
import { serve, sleep, testSite, until } from './harness.mjs';
import { everythingKept } from './book-steps.mjs';
import { large, sumOfTestFile } from './test-file.mjs';
import { hands } from './walk-hands.mjs';

/** All browser processes together, while the file is written and downloaded; 273 MB were measured once. */
const growthAllowed = 450e6;

async function sumOfFile(path) {
  const hash = createHash('sha256');
  for await (const piece of createReadStream(path, { highWaterMark: 1 << 22 })) hash.update(piece);
  return hash.digest('hex');
}

/** Proportional memory of a process group, bytes: pages that several processes share count once. */
function memoryOf(group) {
  let sum = 0;
  for (const pid of readdirSync('/proc').filter((name) => /^\d+$/.test(name))) {
    try {
      const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ');
      if (Number(fields[2]) !== group) continue;
      sum += 1024 * Number(readFileSync(`/proc/${pid}/smaps_rollup`, 'utf8').match(/^Pss:\s+(\d+)/m)[1]);
    } catch {
      // It ended while we looked.
    }
  }
  return sum;
}

/** Looks at the memory again and again until it is stopped; what it grew at most. */
function watchMemory(group) {
  const before = memoryOf(group);
  let most = before;
  const timer = setInterval(() => (most = Math.max(most, memoryOf(group))), 250);
  return () => {
    clearInterval(timer);
    return { before, growth: Math.max(most, memoryOf(group)) - before };
  };
}

/** Notes every value the progress bar takes. */
const watchProgress = (page) =>
  page.evaluate(() => {
    window.progress = [];
    const bar = document.querySelector('[data-job] progress');
    const note = () => window.progress.at(-1) !== bar.value && window.progress.push(bar.value);
    new MutationObserver(note).observe(bar, { attributes: true });
  });

const save = (page, bytes) => page.evaluate((bytes) => void window.sorrelTest.saveTestFile(bytes), bytes);
const parts = async (page) => (await everythingKept(page)).files;
const job = (page) => page.getByRole('group', { name: 'Running job' });

test('512 MB are saved whole, with progress, and memory stays flat', async (t) => {
  const server = await serve(t, testSite);
  const { browser, errors } = await hands(t);
  const { page } = browser;
  await page.goto(server.origin);
  await page.waitForFunction(() => window.sorrelTest && document.documentElement.dataset.page === 'ready');
  await watchProgress(page);
  // What starting the worker takes is not what the file takes.
  const [small] = await Promise.all([page.waitForEvent('download'), save(page, 8)]);
  assert.equal(await sumOfFile(await small.path()), sumOfTestFile(8));
  await job(page).waitFor({ state: 'hidden' });
  await sleep(500);

  const memory = watchMemory(browser.group());
  const began = Date.now();
  const [download] = await Promise.all([page.waitForEvent('download', { timeout: 120_000 }), save(page, large)]);
  const path = await download.path();
  const took = (Date.now() - began) / 1000;
  const { before, growth } = memory();
  t.diagnostic(`512 MB in ${took.toFixed(1)} s; all processes ${(before / 1e6).toFixed(0)} MB and ${(growth / 1e6).toFixed(0)} MB more`);

  assert.equal(download.suggestedFilename(), 'test.bin');
  assert.equal((await stat(path)).size, large);
  assert.equal(await sumOfFile(path), sumOfTestFile(large));
  await rm(path);
  const progress = await page.evaluate(() => window.progress);
  const rising = progress.filter((value) => value > 0 && value < 1);
  assert.ok(rising.length >= 5, `the bar moved: ${progress}`);
  assert.deepEqual(rising, [...rising].sort((a, b) => a - b));
  assert.ok(growth < growthAllowed, `memory grew by ${growth / 1e6} MB`);
  assert.deepEqual(errors, []);
});

test('a cancelled file is not saved, nothing of it is left, and files before it stay', async (t) => {
  const server = await serve(t, testSite);
  const { browser, errors } = await hands(t);
  const { page } = browser;
  await page.goto(server.origin);
  await page.waitForFunction(() => window.sorrelTest && document.documentElement.dataset.page === 'ready');
  // Of a browser that takes its time over a download, an earlier file may still be read.
  const [before] = await Promise.all([page.waitForEvent('download'), save(page, 3 * 2 ** 20)]);
  await before.path();
  await job(page).waitFor({ state: 'hidden' });
  const earlier = await parts(page);
  assert.deepEqual(earlier.map(([, size]) => size), [3 * 2 ** 20]);
  const downloads = [];
  page.on('download', (download) => downloads.push(download));

  await save(page, large);
  await until('a part of the file', async () => (await job(page).getByRole('progressbar').evaluate((bar) => bar.value)) > 0.2);
  assert.ok((await parts(page)).length > 2, 'the test sees parts');
  await job(page).getByRole('button', { name: 'Cancel' }).click();
  await job(page).waitFor({ state: 'hidden', timeout: 2_000 });
  await until('the parts to go', async () => (await parts(page)).length <= 1);
  assert.deepEqual(await parts(page), earlier);
  assert.equal(downloads.length, 0);

  const [download] = await Promise.all([page.waitForEvent('download'), save(page, 2 ** 20)]);
  assert.equal(await sumOfFile(await download.path()), sumOfTestFile(2 ** 20));
  const now = await parts(page);
  const sizes = now.map(([, size]) => size).sort((a, b) => a - b);
  assert.deepEqual(sizes, [2 ** 20, 3 * 2 ** 20], `of the cancelled file nothing is left: ${now}`);
  assert.deepEqual(errors, []);
});

test('a file for which there is no room is refused or given up, and takes no room from the book', async (t) => {
  const server = await serve(t, testSite);
  const person = await hands(t);
  const { page, cdp } = person.browser;
  await page.goto(server.origin);
  await page.waitForFunction(() => window.sorrelTest && document.documentElement.dataset.page === 'ready');
  // Chromium tells every page of 10 GB more than it uses, so that the first it hears of the limit is a failed write.
  await cdp.send('Storage.overrideQuotaForOrigin', { origin: server.origin, quotaSize: 100e6 });
  await save(page, large);
  await person.noticed(/Free some space on this device/);
  await job(page).waitFor({ state: 'hidden' });
  await until('the parts to go', async () => (await parts(page)).length === 0);
});
