// The two workroom looks let no light through that the paper sees: measured on every pixel of every station.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { loadInLook, open, wholePage } from './chromium.mjs';
import { brightest, serve, stations } from './harness.mjs';

for (const look of ['amber', 'red']) {
  test(`${look}: no pixel of any station shows ${look === 'amber' ? 'blue' : 'green or blue'}`, async (t) => {
    const server = await serve(t);
    const { page } = await open(t);
    await loadInLook(page, server.origin, look);
    for (const station of stations) {
      await page.evaluate((station) => (location.hash = station), station);
      const most = brightest(await wholePage(page));
      assert.equal(most.blue, 0, `${station}: blue ${most.blue}`);
      if (look === 'red') assert.equal(most.green, 0, `${station}: green ${most.green}`);
      assert.ok(most.red > 200, `${station} shows something`);
    }
  });

  test(`${look}: nothing white flashes while the page loads`, async (t) => {
    const server = await serve(t);
    const { page, cdp } = await open(t);
    await loadInLook(page, server.origin, look);
    const frames = [];
    cdp.on('Page.screencastFrame', ({ data, sessionId }) => {
      frames.push(Buffer.from(data, 'base64'));
      void cdp.send('Page.screencastFrameAck', { sessionId });
    });
    await cdp.send('Page.startScreencast', { format: 'png', everyNthFrame: 1 });
    await page.reload();
    await page.waitForTimeout(800);
    await cdp.send('Page.stopScreencast');
    assert.ok(frames.length > 0, 'there are frames');
    for (const frame of frames) assert.equal(brightest(frame).blue, 0);
  });
}
