// The crop frame is dragged on the picture: the three fields say where it went, the previews follow, and the way back
// is that of typing.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { photograph, serve, testSite, until } from './harness.mjs';
import { stored } from './book-steps.mjs';
import { hands } from './walk-hands.mjs';

const labels = {
  frame: 'Frame, % of the largest possible (5 to 100)',
  across: 'Centre of the frame from the left, %',
  down: 'Centre of the frame from the top, %',
};

async function cropping(t, options) {
  const server = await serve(t, testSite);
  const person = await hands(t, options);
  await person.open(server.origin);
  await person.go('Negative');
  await person.give('Open a picture', photograph);
  await person.seen(/starfish\.jpg: 1278 × 720/);
  await person.fill('Width, mm', '100');
  await person.fill('Height, mm', '100');
  await person.choose('Fill the size, cut what lies outside');
  await person.fill(labels.frame, '50');
  const { page } = person.browser;
  const frame = page.locator('#negative .frame');
  await frame.scrollIntoViewIfNeeded();
  return { person, page, frame };
}

/** The fields as numbers, and the pixels of the expected print as one text. */
const now = async (person, page) => ({
  frame: Number(await person.value(labels.frame)),
  across: Number(await person.value(labels.across)),
  down: Number(await person.value(labels.down)),
  print: await page.locator('canvas[data-canvas="print"]').evaluate((canvas) => canvas.toDataURL()),
});

test('a square frame of half the height is dragged left, up to the edge, and sized by a corner', async (t) => {
  const { person, page, frame } = await cropping(t);
  const before = await now(person, page);
  const whole = await page.locator('canvas[data-canvas="whole"]').boundingBox();
  const box = await frame.boundingBox();
  // 50 % of the largest square in 1278 × 720 is 360 × 360 pixels.
  assert.ok(Math.abs(box.width / whole.width - 360 / 1278) < 0.01, `${box.width} of ${whole.width}`);
  assert.ok(Math.abs(box.height / whole.height - 0.5) < 0.01, `${box.height} of ${whole.height}`);

  const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await page.mouse.move(middle.x, middle.y);
  await page.mouse.down();
  await page.mouse.move(middle.x - whole.width / 10, middle.y + whole.height / 10, { steps: 4 });
  await page.mouse.up();
  const moved = await now(person, page);
  assert.ok(Math.abs(moved.across - 40) < 0.6, `across ${moved.across}`);
  assert.ok(Math.abs(moved.down - 60) < 0.6, `down ${moved.down}`);
  assert.equal(moved.frame, 50);
  assert.notEqual(moved.print, before.print, 'the expected print follows');
  await stored(page, `"across":"${await person.value(labels.across)}"`);

  // Past the edge: the frame stays inside, and the field says where it is.
  const again = await frame.boundingBox();
  await page.mouse.move(again.x + again.width / 2, again.y + again.height / 2);
  await page.mouse.down();
  await page.mouse.move(0, again.y + again.height / 2, { steps: 3 });
  await page.mouse.up();
  const edge = await now(person, page);
  assert.ok(Math.abs(edge.across - (100 * 180) / 1278) < 0.2, `across ${edge.across}`);

  // A corner, half way to the centre: half the size, the centre where it was.
  const there = await frame.boundingBox();
  await page.mouse.move(there.x + there.width - 2, there.y + there.height - 2);
  await page.mouse.down();
  await page.mouse.move(there.x + there.width * 0.75, there.y + there.height * 0.75, { steps: 3 });
  await page.mouse.up();
  const sized = await now(person, page);
  assert.ok(Math.abs(sized.frame - 25) < 1.5, `frame ${sized.frame}`);
  assert.ok(Math.abs(sized.across - edge.across) < 0.2, `across ${sized.across}`);
  assert.notEqual(sized.print, edge.print);

  // Moving without holding does nothing.
  await page.mouse.move(middle.x, middle.y, { steps: 3 });
  assert.deepEqual(await now(person, page), sized);

  // Each drag is taken back by itself.
  await page.locator('#negative h2').click();
  await page.keyboard.press('Control+z');
  await until('the size to be back', async () => (await person.value(labels.frame)) === '50');
  await page.keyboard.press('Control+z');
  await page.keyboard.press('Control+z');
  await until('the frame to be back', async () => (await person.value(labels.across)) === '50');
  assert.equal((await now(person, page)).print, before.print);
  assert.deepEqual(person.errors, []);
});

test('a finger drags the frame and not the page', async (t) => {
  const { person, page, frame } = await cropping(t, { hasTouch: true, viewport: { width: 400, height: 700 } });
  const { cdp } = person.browser;
  const box = await frame.boundingBox();
  const scrolled = await page.evaluate(() => scrollY);
  const point = (dx, dy) => [{ x: box.x + box.width / 2 + dx, y: box.y + box.height / 2 + dy }];
  await cdp.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: point(0, 0) });
  for (const step of [8, 16, 24]) await cdp.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: point(step, step) });
  await cdp.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  const after = await now(person, page);
  assert.ok(after.across > 54 && after.down > 58, `${after.across}, ${after.down}`);
  assert.equal(await page.evaluate(() => scrollY), scrolled);
  assert.deepEqual(person.errors, []);
});
