// The work card: mix, time and baths of a ticket with their cautions, and lines to write on, on one sheet of paper.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { PNG } from 'pngjs';
import { looks, save, serve, testSite } from './harness.mjs';
import { hands } from './walk-hands.mjs';

async function begin(t) {
  const server = await serve(t, testSite);
  // Wide as the paper is between its margins, so that the page breaks as on paper.
  const person = await hands(t, { viewport: { width: 718, height: 1046 } });
  await person.open(server.origin);
  const { page } = person.browser;
  // A page that is driven has nobody to answer the dialog.
  await page.evaluate(() => { window.prints = 0; window.print = () => { window.prints += 1; }; });
  await person.go('Book');
  await person.press('Open the demo book');
  await person.noticed(/This is the demo book/);
  return person;
}

/** Pages that a printer would get. */
async function sheets(page, format) {
  const file = await page.pdf({ format });
  if (process.env.KEEP) await save(`work-card-${format}.pdf`, file);
  return (file.toString('latin1').match(/\/Type\s*\/Page\b/g) ?? []).length;
}

/** What stands on paper. */
async function printed(page) {
  await page.emulateMedia({ media: 'print' });
  return page.locator('body').innerText();
}

test('one button prints the whole card on one page, black on white in every look', async (t) => {
  const person = await begin(t);
  const { page } = person.browser;
  await person.go('Light');
  const [, time] = await person.seen(/Time on this ticket\s+(\d+:\d\d)/);
  await person.go('Coat');
  const [, volume] = await person.seen(/palladium[^\n]*\s+[\d.]+\s%[^\n]*\s+([\d.]+ mL|\d+ drops)/);
  await person.go('Baths');
  const [, total] = await person.seen(/From the first pour to the end\s+([\d:]+)/);
  await person.go('Workroom');
  for (const look of looks) {
    await page.evaluate((look) => document.querySelector(`button[data-look="${look}"]`).click(), look);
    await person.press('Print the work card');
    const text = await printed(page);
    for (const part of [
      /Ticket \d+, Slipway, low water\s+Setup Warm/,
      /Film\s+\d+/,
      /Record\s+Date/,
      new RegExp(`Time on this ticket\\s+${time}`),
      new RegExp(`palladium[\\s\\S]*${volume.replace('.', '\\.')}`),
      new RegExp(`From the first pour to the end\\s+${total}`),
      /Developer[\s\S]*\d+ °C[\s\S]*Wash/,
      /Gloves and goggles on/,
      /Do not look into a burning lamp/,
      /What these baths hold[\s\S]*oxalate/,
      /Light as given/,
    ]) assert.match(text, part, look);
    assert.doesNotMatch(text, /Ready to start|Sound check|About the|Stations|Open a picture|Rating|Look and units/, look);
    for (const selector of ['.questions', 'button', 'input', '#negative', '#book', '#tone', '#stores', '#make', '.stations']) {
      assert.equal(await page.locator(selector).filter({ visible: true }).count(), 0, `${selector} in ${look}`);
    }
    const shot = await page.screenshot({ fullPage: true });
    await save(`work-card-${look}.png`, shot);
    const { data } = PNG.sync.read(shot);
    let white = 0;
    for (let i = 0; i < data.length; i += 4) {
      const [r, g, b] = data.subarray(i, i + 3);
      assert.ok(r === g && g === b, `${look}: ${r} ${g} ${b} is no grey`);
      white += r === 255 ? 4 / data.length : 0;
    }
    assert.ok(white > 0.75, `${look}: ${white.toFixed(2)} of the page is white`);
    for (const format of ['A4', 'Letter']) assert.equal(await sheets(page, format), 1, `${format} in ${look}`);
    await page.emulateMedia({ media: 'screen' });
  }
  assert.equal(await page.evaluate(() => window.prints), 3);
  await page.evaluate(() => document.querySelector('button[data-look="paper"]').click());

  // The card of a mix that is printed alone is that station's alone again.
  await person.go('Coat');
  assert.equal(await page.locator('#baths details[data-show="any"]').evaluate((d) => d.open), false, 'closed as it was');
  await person.press('Print the whole work card');
  assert.match(await printed(page), /Time on this ticket/);
  await page.emulateMedia({ media: 'screen' });
  await person.press('Print the mix');
  assert.doesNotMatch(await printed(page), /Light as given|Time on this ticket/);
  assert.deepEqual(person.errors, []);
});

test('the card of a time strip holds its plan, also with twelve strips and many baths', async (t) => {
  const person = await begin(t);
  const { page } = person.browser;
  await person.go('Book');
  await person.pick('What it is for', 'A time strip');
  await person.go('Light');
  await person.fill('Strips (2 to 12)', '12');
  await person.fill('Step, stops (0.05 to 3)', '0.5');
  await person.go('Baths');
  for (let i = 0; i < 3; i++) await person.press('Add a bath');
  await person.go('Workroom');
  await person.press('Print the work card');
  const text = await printed(page);
  assert.match(text, /What each strip gets[\s\S]*\n12\s/);
  assert.match(text, /How to move the card/);
  await save('work-card-strip.png', await page.screenshot({ fullPage: true }));
  for (const format of ['A4', 'Letter']) assert.equal(await sheets(page, format), 1, format);
  assert.deepEqual(person.errors, []);
});
