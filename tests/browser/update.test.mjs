// A new build never takes over by itself: it lies ready beside the old one until a tap, whatever happens in between.
import assert from 'node:assert/strict';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { load, open, kept } from './chromium.mjs';
import { copyOfSite, deploy, serve, until } from './harness.mjs';

const build = (page) => page.evaluate(() => window.sorrelSite.build);
const offered = (page) => page.evaluate(() => new Promise((done) => window.sorrelUpdate.ready(done)));
const storedBuilds = (page) =>
  page.evaluate(async () => (await caches.keys()).filter((name) => name.startsWith('sorrel-build-')));

test('a page killed in the middle of an exposure reopens in its old build; a tap moves to the new one', async (t) => {
  const folder = await copyOfSite(t);
  const server = await serve(t, folder);
  const browser = await open(t);
  await load(browser.page, server.origin);
  await kept(browser.page);
  const old = await build(browser.page);

  const next = await deploy(folder, 'a later build');
  await browser.page.reload();
  assert.equal(await offered(browser.page), next);
  assert.equal(await build(browser.page), old);

  // Twice: the first restart is when a waiting service worker would take over.
  for (const restart of ['first', 'second']) {
    await browser.kill();
    await browser.start();
    await load(browser.page, server.origin);
    assert.equal(await build(browser.page), old, `after the ${restart} restart`);
  }
  await server.stop();
  await browser.page.reload();
  assert.equal(await build(browser.page), old, 'with the server stopped');
  await server.start();
  await browser.page.reload();
  assert.equal(await offered(browser.page), next);

  await browser.page.evaluate(() => void window.sorrelUpdate.use());
  await until('the new build', async () => (await build(browser.page).catch(() => null)) === next);
  await until('the old build to be dropped', async () => (await storedBuilds(browser.page)).length === 1);
  assert.deepEqual(await storedBuilds(browser.page), [`sorrel-build-${next}`]);

  await server.stop();
  await load(browser.page, server.origin);
  assert.equal(await build(browser.page), next);
});

test('a build that is only half on the server is not offered, and harms nothing', async (t) => {
  const folder = await copyOfSite(t);
  const server = await serve(t, folder);
  const { page } = await open(t);
  await load(page, server.origin);
  await kept(page);
  const old = await build(page);

  await deploy(folder, 'half a build');
  const document = join(folder, 'index.html');
  const whole = await readFile(document, 'utf8');
  await writeFile(document, whole.slice(0, -20));
  await page.reload();
  await kept(page);
  assert.equal(await build(page), old);
  assert.deepEqual(await storedBuilds(page), [`sorrel-build-${old}`]);

  await writeFile(document, whole);
  await page.reload();
  assert.notEqual(await offered(page), old);
});

test('a second window keeps the files of its own build when the first one moves on', async (t) => {
  const folder = await copyOfSite(t);
  const server = await serve(t, folder);
  const { page, context } = await open(t);
  await load(page, server.origin);
  await kept(page);
  const old = await build(page);
  const second = await context.newPage();
  await load(second, server.origin);

  const next = await deploy(folder, 'another build');
  await page.reload();
  await offered(page);
  await page.evaluate(() => void window.sorrelUpdate.use());
  await until('the new build', async () => (await build(page).catch(() => null)) === next);
  await kept(page);
  assert.equal(await build(second), old);
  assert.ok((await storedBuilds(second)).includes(`sorrel-build-${old}`));
});
