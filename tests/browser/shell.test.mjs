// The page as a whole: it loads, it is readable without its module, it asks nobody else, it can be installed.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { load, open, kept } from './chromium.mjs';
import { serve, stations } from './harness.mjs';

test('the page loads, without an error on the console', async (t) => {
  const server = await serve(t);
  const { page, messages } = await open(t);
  await load(page, server.origin);
  await page.getByRole('heading', { level: 1, name: 'Sorrel' }).waitFor();
  await kept(page);
  assert.deepEqual(messages, []);
});

test('without scripts every station can be read', async (t) => {
  const server = await serve(t);
  const { page } = await open(t, { javaScriptEnabled: false });
  await page.goto(server.origin);
  for (const station of stations) {
    assert.equal(await page.locator(`main > section#${station}`).count(), 1, station);
    assert.ok(await page.locator(`#${station}`).isVisible(), `${station} is hidden`);
  }
});

test('nothing is asked of anyone else', async (t) => {
  const server = await serve(t);
  const { page, requests } = await open(t);
  await load(page, server.origin);
  await kept(page);
  for (const station of stations) await page.goto(`${server.origin}/#${station}`);
  await page.reload();
  const foreign = requests.filter((url) => new URL(url).origin !== server.origin && !/^(blob|data):/.test(url));
  assert.ok(requests.length > 5, 'the counter counts');
  assert.deepEqual(foreign, []);
});

test('the browser finds nothing that speaks against installing', async (t) => {
  const server = await serve(t);
  const { page, cdp } = await open(t);
  await load(page, server.origin);
  await kept(page);
  const { installabilityErrors } = await cdp.send('Page.getInstallabilityErrors');
  // The test browser's profile counts as a private window for this one question.
  assert.deepEqual(installabilityErrors.filter(({ errorId }) => errorId !== 'in-incognito'), []);
  const { errors } = await cdp.send('Page.getAppManifest');
  assert.deepEqual(errors, []);
});

test('when the module dies the page says that everything is stored, and shows running end times as text', async (t) => {
  const server = await serve(t);
  const { page } = await open(t);
  await load(page, server.origin);
  await page.evaluate(() => {
    localStorage.setItem('sorrel-lanes', JSON.stringify([{ title: 'Slipway', step: 'exposure', end: Date.now() + 60_000 }]));
    setTimeout(() => {
      // The smallest module that traps: (module (func unreachable) (start 0)).
      const bytes = [0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 8, 1, 0, 10, 5, 1, 3, 0, 0, 11];
      new WebAssembly.Instance(new WebAssembly.Module(new Uint8Array(bytes)));
    });
  });
  const panel = page.getByRole('alertdialog', { name: 'The page has stopped' });
  await panel.waitFor();
  assert.match(await panel.innerText(), /Everything you typed is stored/);
  assert.match(await panel.innerText(), /Slipway: exposure ends at \d/);
  await panel.getByRole('button', { name: 'Reload' }).click();
  await panel.waitFor({ state: 'detached' });
});
