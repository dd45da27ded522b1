// axe finds nothing, on any station, in any look; and the page fits the narrowest screen.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { axe, load, loadInLook, open } from './chromium.mjs';
import { looks, serve, stations } from './harness.mjs';

for (const look of looks) {
  test(`axe finds nothing on any station in the look ${look}`, async (t) => {
    const server = await serve(t);
    const { page } = await open(t, { bypassCSP: true });
    await loadInLook(page, server.origin, look);
    const found = [];
    for (const station of stations) {
      await page.evaluate((station) => (location.hash = station), station);
      found.push(...(await axe(page)).map((text) => `${station}: ${text}`));
    }
    assert.deepEqual(found, []);
  });
}

test('no station is wider than a screen of 320 px', async (t) => {
  const server = await serve(t);
  const { page } = await open(t, { viewport: { width: 320, height: 640 } });
  await load(page, server.origin);
  for (const station of stations) {
    await page.evaluate((station) => (location.hash = station), station);
    const wide = await page.evaluate(() =>
      [...document.querySelectorAll('body *')]
        .filter((element) => element.getBoundingClientRect().right > innerWidth + 1 && !element.closest('[data-scrolls]'))
        .map((element) => element.tagName + (element.id && `#${element.id}`)),
    );
    assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), 320, `${station}: ${wide.slice(0, 5)}`);
  }
});
