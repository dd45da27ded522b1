// After one visit the page needs nobody: the server is stopped, not only hidden.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { load, open, kept, ready } from './chromium.mjs';
import { serve, site } from './harness.mjs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';

test('with the server stopped the page opens whole, also in a new window and after a crash', async (t) => {
  const server = await serve(t);
  const browser = await open(t);
  await load(browser.page, server.origin);
  await kept(browser.page);
  await server.stop();

  await browser.page.reload();
  await ready(browser.page);

  const second = await browser.context.newPage();
  await load(second, `${server.origin}/?from=home#coat`);
  assert.equal(new URL(second.url()).hash, '#coat');

  await browser.kill();
  await browser.start();
  await load(browser.page, server.origin);
});

test('with the server stopped every file of the build comes from this device, as it was built', async (t) => {
  const server = await serve(t);
  const { page } = await open(t);
  await load(page, server.origin);
  await kept(page);
  await server.stop();
  await page.reload();
  await ready(page);
  const { files } = JSON.parse(await readFile(join(site, 'build.json'), 'utf8'));
  const sums = await page.evaluate(async (paths) => {
    const hex = (buffer) => Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, '0')).join('');
    return Promise.all(
      paths.map(async (path) => {
        const answer = await fetch(path);
        return [path, answer.headers.get('content-type'), hex(await crypto.subtle.digest('SHA-256', await answer.arrayBuffer()))];
      }),
    );
  }, files.map(({ path }) => path));
  assert.deepEqual(sums, files.map(({ path, type, sha256 }) => [path, type, sha256]));
});
