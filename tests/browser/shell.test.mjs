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

test('a field of one line grows with its words, shows all of them on a telephone, and stays one line', async (t) => {
  const server = await serve(t);
  const { page } = await open(t, { viewport: { width: 320, height: 640 } });
  await load(page, server.origin);
  await page.goto(`${server.origin}/#baths`);
  const field = page.locator('#baths [name="setup.rows.0.remark"]');
  await field.fill('Warm');
  const one = (await field.boundingBox()).height;
  await field.press('Enter');
  assert.equal(await field.inputValue(), 'Warm', 'Enter makes a second line');
  await field.fill('Warm the tray first,\nthen pour in one motion: a pause prints a line');
  const [inside, outside] = await field.evaluate((f) => [f.scrollHeight, f.clientHeight]);
  assert.ok(inside <= outside, `${inside} of ${outside} px are seen`);
  assert.ok((await field.boundingBox()).height > one, 'the field did not grow');
  await page.locator('#baths [name="setup.rows.0.name"]').focus();
  await kept(page);
  await page.reload();
  await page.locator('#baths').waitFor({ state: 'visible' });
  assert.equal(await field.inputValue(), 'Warm the tray first, then pour in one motion: a pause prints a line');
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
