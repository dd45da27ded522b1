// A power cut: the browser's whole process group is killed at the worst moment, and nothing is lost.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { load } from './chromium.mjs';
import { serve, sleep, testSite } from './harness.mjs';
import { everythingKept, printable, stored } from './book-steps.mjs';
import { hands } from './walk-hands.mjs';

const cuts = 20;

/** Waits without a pause in between until the workroom says that the light is on. */
const running = (page) =>
  page.waitForFunction(
    () => document.querySelector('#workroom output[name="state"]').textContent === 'Light is on',
    null,
    { polling: 'raf' },
  );

const secondsLeft = (text) => {
  const [, minutes, seconds] = text.match(/^(\d+):(\d\d)$/) ?? assert.fail(`no time left in “${text}”`);
  return 60 * Number(minutes) + Number(seconds);
};

test(`a lane that was just started is back after a power cut, ${cuts} of ${cuts} times`, async (t) => {
  const server = await serve(t, testSite);
  const person = await hands(t);
  const { browser } = person;
  await person.open(server.origin);
  await printable(person);
  await person.go('Workroom');

  const lost = [];
  for (let cut = 1; cut <= cuts; cut++) {
    const before = Date.now();
    await browser.page.getByRole('button', { name: 'Start', exact: true }).click();
    await running(browser.page);
    const after = Date.now();
    await browser.kill();

    await browser.start();
    const { page } = browser;
    // The bare address: with a lane running the page goes to the workroom by itself.
    await load(page, server.origin);
    const back = await running(page).then(() => true, () => false);
    if (!back) {
      lost.push(`${cut}: ${await page.locator('main').innerText()}`);
      await page.goto(`${server.origin}/#workroom`);
      continue;
    }
    const looked = Date.now();
    const left = secondsLeft(await page.locator('#workroom output[name="digits"]').innerText());
    const now = Date.now();
    // The digits are whole seconds, of the clock's last full one.
    const most = 360 - (looked - after) / 1000 + 1.5;
    const least = 360 - (now - before) / 1000 - 1.5;
    if (left < least || left > most) lost.push(`${cut}: ${left} s left, not ${least} to ${most}`);
    const { databases } = await everythingKept(page);
    const lanes = Object.keys(databases.sorrel.objects).filter((key) => key.startsWith('lane/'));
    if (lanes.length !== cut - lost.length) lost.push(`${cut}: ${lanes.length} lanes in the store`);

    // Held until it has happened, as a person does.
    await page.getByRole('button', { name: 'Hold to throw away' }).hover();
    await page.mouse.down();
    await page.getByRole('button', { name: 'Start', exact: true }).waitFor();
    await page.mouse.up();
  }
  assert.deepEqual(lost, []);
});

test('what was typed is back a quarter of a second later, and never torn', async (t) => {
  const server = await serve(t, testSite);
  const person = await hands(t);
  const { browser } = person;
  await person.open(`${server.origin}/#coat`);
  const field = () => browser.page.locator('#coat-margin');
  await field().fill('7');
  await stored(browser.page, '"margin":"7"');
  /** What the store holds of the field at this moment. */
  const kept = async () => {
    const { databases } = await everythingKept(browser.page);
    const [, ticket] = Object.entries(databases.sorrel.objects).find(([key]) => key.startsWith('ticket/'));
    return ticket.object.ticket.asks.coat.setup.margin;
  };
  let lay = '';
  const cutAfter = async (text, wait) => {
    await field().fill('');
    await field().pressSequentially(text);
    await sleep(wait);
    lay = wait ? text : await kept();
    await browser.kill();
    await browser.start();
    await load(browser.page, `${server.origin}/#coat`);
    await browser.page.locator('nav a[href="#coat"][aria-current="page"]').waitFor();
    return field().inputValue();
  };
  for (const text of ['11,5 mm', '1/2 in', '12.25']) assert.equal(await cutAfter(text, 250), text);
  // Cut between the keys: what is back is what stood there at some key, and no older than what already lay in the store.
  for (const text of ['13,5 mm', '14,75 mm']) {
    const back = await cutAfter(text, 0);
    assert.ok(text.startsWith(back) && back.length >= lay.length, `“${back}” of “${text}”, of which “${lay}” lay in the store`);
  }
});
