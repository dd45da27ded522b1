// Buttons that are held: only the time the finger is down counts, on a page that is busy or moves as well.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { printable } from './book-steps.mjs';
import { serve, sleep, testSite } from './harness.mjs';
import { hands } from './walk-hands.mjs';

/** A running lane, the pointer over the button that throws it away, and whether the lane is still there. */
async function lane(t) {
  const server = await serve(t, testSite);
  const person = await hands(t);
  const { page } = person.browser;
  await person.open(server.origin);
  await printable(person);
  await person.go('Workroom');
  await person.press('Start');
  await person.seen(/Light is on/);
  const button = page.getByRole('button', { name: 'Hold to throw away' });
  await button.hover();
  return { page, button, runs: () => button.isVisible() };
}

/** Keeps the page from doing anything for so long, as a slow tablet does by itself. */
const busy = (page, ms) =>
  page.evaluate((ms) => {
    const end = performance.now() + ms;
    while (performance.now() < end);
  }, ms);

test('what was held long enough acts, on a page that was too busy to notice as well', async (t) => {
  const { page, runs } = await lane(t);
  await page.mouse.down();
  await sleep(100);
  const blocked = busy(page, 1400);
  await sleep(1000);
  await page.mouse.up();
  await blocked;
  await page.getByRole('button', { name: 'Start', exact: true }).waitFor();
  assert.ok(!(await runs()));
});

test('a drop of water does nothing, on a busy page either, and a key is held as well', async (t) => {
  const { page, button, runs } = await lane(t);
  await page.mouse.down();
  const blocked = busy(page, 1200);
  await sleep(200);
  await page.mouse.up();
  await blocked;
  await sleep(1000);
  assert.ok(await runs());
  await button.focus();
  await page.keyboard.press('Space', { delay: 200 });
  await sleep(1000);
  assert.ok(await runs());
  await page.keyboard.press('Space', { delay: 1000 });
  await page.getByRole('button', { name: 'Start', exact: true }).waitFor();
});

test('a button that moves away under the finger is still held', async (t) => {
  const { page, button } = await lane(t);
  await page.mouse.down();
  await button.evaluate((b) => (b.closest('main').style.paddingTop = '300px'));
  await page.getByRole('button', { name: 'Start', exact: true }).waitFor();
  await page.mouse.up();
});
