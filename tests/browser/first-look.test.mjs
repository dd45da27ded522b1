// A first look at an empty book does with the front of the module; everything else waits for the rest of it.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { load, open, ready } from './chromium.mjs';
import { everythingKept } from './book-steps.mjs';
import { serve } from './harness.mjs';

/** A browser in which only the page itself asks for files. `rests` are its wishes for the rest of the module. */
async function begin(t) {
  const server = await serve(t);
  const browser = await open(t, { serviceWorkers: 'block' });
  const { page } = browser;
  const rests = [];
  page.on('request', (request) => /\/rest\.\w+\.wasm$/.test(request.url()) && rests.push(request.url()));
  return { server, browser, page, rests };
}

/** Writes into a field without touching keyboard or pointer, as software that fills in forms does. */
const write = (page, label, text) =>
  page.getByLabel(label, { exact: true }).evaluate((field, text) => {
    field.value = text;
    field.dispatchEvent(new Event('input', { bubbles: true }));
  }, text);

const cell = (page, name) => page.locator(`[data-cell="${name}"] [data-text]`);
const coat = (page) => page.getByRole('heading', { name: 'Coat', level: 2 });
const objects = async (page) => (await everythingKept(page)).databases.sorrel.objects;

test('an empty book is answered by the front alone; the first touch brings the rest', async (t) => {
  const { server, page, rests } = await begin(t);
  await load(page, server.origin);
  await write(page, 'Width, mm', '254');
  await write(page, 'Height, mm', '203');
  await cell(page, 'size').filter({ hasText: '254' }).waitFor();
  assert.deepEqual(rests, [], 'nothing but the first station was asked for');
  await page.getByRole('link', { name: 'Coat', exact: true }).click();
  await coat(page).waitFor();
  assert.equal(rests.length, 1);
  assert.doesNotMatch(await cell(page, 'mix').innerText(), /starting recipe$/, 'the strip is answered too');
});

test('a rest that does not come is said, loses nothing, and is asked for again', async (t) => {
  const { server, page } = await begin(t);
  await page.route('**/rest.*.wasm', (route) => route.abort());
  await load(page, server.origin);
  await write(page, 'Width, mm', '254');
  await page.getByRole('link', { name: 'Coat', exact: true }).click();
  await page.getByRole('status').filter({ hasText: 'The rest of the page could not be loaded' }).waitFor();
  await write(page, 'Height, mm', '203');
  await cell(page, 'size').filter({ hasText: '203' }).waitFor();
  await page.unroute('**/rest.*.wasm');
  await page.getByRole('button', { name: 'Load it again' }).click();
  await coat(page).waitFor();
  assert.equal(await page.getByRole('status').filter({ hasText: 'could not be loaded' }).count(), 0);
  await page.getByRole('link', { name: 'Negative', exact: true }).click();
  assert.equal(await page.getByLabel('Width, mm', { exact: true }).inputValue(), '254');
});

test('a book in use is never opened without the rest, and is not touched if it does not come', async (t) => {
  const { server, page, rests } = await begin(t);
  await load(page, server.origin);
  await page.getByLabel('Width, mm', { exact: true }).fill('254');
  await page.getByRole('link', { name: 'Coat', exact: true }).click();
  await coat(page).waitFor();
  await page.goto('about:blank');
  rests.length = 0;

  await load(page, server.origin);
  assert.equal(rests.length, 1, 'asked for before anything is shown');
  assert.equal(await page.getByLabel('Width, mm', { exact: true }).inputValue(), '254');
  const before = await objects(page);

  await page.route('**/rest.*.wasm', (route) => route.abort());
  await page.reload();
  await page.getByRole('alertdialog').filter({ hasText: 'Everything you typed is stored' }).waitFor();
  await page.unroute('**/rest.*.wasm');
  await page.reload();
  await ready(page);
  assert.deepEqual(await objects(page), before);
});

test('an address that names another station brings the rest with it', async (t) => {
  const { server, page, rests } = await begin(t);
  await load(page, `${server.origin}/#coat`);
  await coat(page).waitFor();
  assert.equal(rests.length, 1);
});
