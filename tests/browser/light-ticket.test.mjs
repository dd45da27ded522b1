// The time of a ticket: own prints, the meter and a cold lamp move it by themselves, each in a row of its own, and the
// workroom counts what the light shows.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { bookFile, labels as kept } from './book-steps.mjs';
import { save, serve, testSite, until } from './harness.mjs';
import { black, density, layout, readings, stepPrint } from './light-model.mjs';
import { greyScale, greyTiff16, scan } from './tone-process.mjs';
import { hands } from './walk-hands.mjs';

async function begin(t, options) {
  const server = await serve(t, testSite);
  const person = await hands(t, options);
  await person.open(server.origin);
  return person;
}

/** The book with records of prints that came out by so much log exposure; the first is the reference. */
async function printed(person, outcomes) {
  await person.go('Light');
  await person.fill(kept.time, '6:00');
  await person.press('Keep them in the setup');
  const book = JSON.parse(await bookFile(person));
  const { ticket } = book.objects.find(({ key }) => key.startsWith('ticket/')).object;
  const steps = [0, 0.26, 0.53, 0.93, 1.32, 1.8, 2.32];
  for (const [i, out] of outcomes.entries()) {
    const strip = steps.map((behind) => density(black * 10 ** out, behind).toFixed(3));
    const lane = { ticket: `old-${i}`, title: 'Quay', steps: [{ name: 'Exposure', seconds: black, exposure: true }], marks: [] };
    const record = { number: i + 1, made: Date.UTC(2026, 1, i + 1), ticket, setup_name: 'First', lane, strip, reference: i === 0 };
    book.objects.push({ key: `record/r${i}`, rev: 1, object: { record } });
  }
  await person.give('Open a book file', { name: 'book.json', bytes: Buffer.from(JSON.stringify(book)) });
  await person.press('Replace this book by it');
  await person.go('Light');
}

test('own prints that agree move the time, and the workroom counts it', async (t) => {
  const person = await begin(t, { viewport: { width: 1280, height: 900 } });
  await printed(person, [0, -0.05, -0.048, -0.052, -0.05]);
  // 6:00 · 10^0.05
  await person.seen(/Time on this ticket\s+6:44[\s\S]*6:00 of the setup, \+0\.17 stop by your own prints/);
  await person.seen(/Your own prints\s+measured by you \(4\)\s+\+0\.17 stop\s+± 0\.0\d stop/);
  await person.seen(/Together, time on this ticket\s+6:44\s+± [\d.]+ stop/);
  await person.go('Workroom');
  await person.seen(/Exposure 6:44, then/);
  await person.go('Light');
  await person.choose('Leave your own prints out');
  await person.seen(/Time on this ticket\s+6:00/);
  await person.seen(/4 prints came out 0\.17 stop weaker than the reference: 6:44 would match it/);
  // The tick is remembered.
  await person.browser.page.reload();
  await person.go('Light');
  await person.seen(/Time on this ticket\s+6:00/);
  await person.browser.page.getByLabel('Leave your own prints out').uncheck();
  await person.seen(/Time on this ticket\s+6:44/);

  // With a change on the ticket, and settled into the setup: nothing moves it twice.
  await person.fill('More light, or with a minus less (empty: none)', '1');
  await person.seen(/Time on this ticket\s+13:28/);
  await person.press("Make this the time of the setup's fields above");
  await until('the settled time', async () => (await person.value(kept.time)) === '13:28');
  await person.seen(/Time on this ticket\s+13:28/);
  await person.press('Keep them in the setup');
  await person.seen(/Time on this ticket\s+13:28/);
  assert.deepEqual(person.errors, []);
});

test('prints that do not agree move nothing', async (t) => {
  const person = await begin(t);
  await printed(person, [0, -0.05, 0.04, -0.03, 0.05]);
  await person.seen(/Time on this ticket\s+6:00[\s\S]*4 prints scatter by 0\.\d\d stop about the reference; that moves nothing/);
  assert.deepEqual(person.errors, []);
});

test('meter and cold lamp stand in rows of their own and can be left out; the card says the settled time', async (t) => {
  const person = await begin(t, { viewport: { width: 760, height: 1050 } });
  await person.go('Light');
  await person.fill(kept.time, '6:00');
  await person.choose("The lamp is cold when an exposure begins; the setup's time is one of a warm lamp");
  await person.seen(/How this lamp warms up was not measured, so nothing is added/);
  await person.fill('Meter at the frame when the time was found, mW/cm²', '10');
  await person.unfold('Hours, air and warming up');
  // 60 % of its light at first, and a time constant of 60 s.
  await person.fill('Meter as a cold lamp is switched on, mW/cm²', '6');
  await person.fill('it reads, mW/cm²', String(10 * (1 - 0.4 * Math.exp(-0.5))));
  await person.seen(/Time on this ticket\s+6:24[\s\S]*\+0\.09 stop as the lamp starts cold/);
  await person.seen(/A cold lamp needs 6:24 instead of 6:00[\s\S]*counts that/);
  await person.fill('Meter at the frame now', '5');
  await person.seen(/Time on this ticket\s+12:24/);
  await person.seen(/Light, by your meter\s+measured by you\s+\+1\.00 stop/);
  await person.choose('Leave the meter out');
  await person.seen(/Time on this ticket\s+6:24/);
  await person.go('Workroom');
  await person.seen(/Exposure 6:24, then/);
  await person.go('Light');
  await person.browser.page.emulateMedia({ media: 'print' });
  const card = await person.browser.page.locator('#light').innerText();
  assert.match(card, /Time on this ticket\s+6:24/);
  assert.match(card, /The lamp starts cold\s+three readings of your meter\s+\+0\.09 stop/);
  assert.ok(!/Leave the meter out|Only what you measured/.test(card), 'no questions on paper');
  await save('light-settled-card.png', await person.browser.page.screenshot({ fullPage: true }));
  assert.deepEqual(person.errors, []);
});

test('the masked spot is read from the scan, by a box on it', async (t) => {
  const person = await begin(t, { viewport: { width: 1280, height: 900 } });
  await person.go('Light');
  const picture = scan(stepPrint(900, { masked: true }), { on: layout, flare: 0.012 });
  const places = (all) => all.map(([x, y]) => `${x.toFixed(0)} ${y.toFixed(0)}`).join('; ');
  await person.fill('Time of the step print (10:00, 10 min or 600)', '15:00');
  await person.unfold('Read them from a scan');
  await person.choose('A grey scale');
  await person.fill("Densities of the grey scale's steps, from its first corner on", greyScale.densities.map((d) => d.toFixed(2)).join(' '));
  await person.choose('gamma 2.2');
  await person.give('Open a scan', { name: 'step print.tif', bytes: greyTiff16(picture) });
  await person.seen(/step print\.tif: \d+ × \d+ px/);
  await person.fill('Corners of the steps, x y in pixels', places(picture.marks));
  await person.fill('Corners of the grey scale, x y in pixels', places(picture.scale));

  // One corner is no box: the note says so when it is to be read, and what was placed stays.
  const label = 'Box on the masked spot, x y twice in pixels';
  const { page } = person.browser;
  const canvas = page.locator('#light canvas[data-canvas="scan"]');
  await person.choose('Tap two opposite corners inside the masked spot, if it is in the picture');
  const tap = async (mm) => {
    await canvas.scrollIntoViewIfNeeded();
    const { x, y, width, height } = await canvas.boundingBox();
    const [px, py] = picture.at(mm);
    await page.mouse.click(x + (px / picture.width) * width, y + (py / picture.height) * height);
  };
  const [[x0, y0], [x1, y1]] = layout.spot;
  await tap([x1 - 2, y0 + 1.5]);
  await until('a corner', async () => /^\d+ \d+$/.test(await person.value(label)));
  await person.press('Read it');
  await person.seen(/The box on the masked spot has 1 of its two corners\. Tap two opposite corners inside the spot/);
  await tap([x0 + 2, y1 - 1.5]);
  await until('two corners', async () => /^\d+ \d+; \d+ \d+$/.test(await person.value(label)));
  await person.press('Read it');
  const [, mean, spread] = await person.seen(/21 steps read[\s\S]*White by the masked spot: D ([\d.]+), spread ([\d.]+), 4 fields/);
  t.diagnostic(`white: ${mean}, spread ${spread}; true 0.070`);
  assert.ok(Math.abs(Number(mean) - 0.07) < 0.01, mean);
  await person.press('Take these readings');
  const masked = 'Masked spots: coated, taped, developed, cleared';
  await until('four readings of white', async () => (await person.value(masked)).trim().split('\n').length === 4);
  const [, dmin] = await person.seen(/White, Dmin\s+([\d.]+)/);
  assert.ok(Math.abs(Number(dmin) - Number(mean)) < 0.006, `${dmin} ${mean}`);
  assert.deepEqual(person.errors, []);
});

test('two prints under different light tell whether half of it takes twice the time', async (t) => {
  const person = await begin(t, { viewport: { width: 1280, height: 900 } });
  await person.go('Light');
  await person.fill(kept.time, '6:00');
  await person.fill('Meter at the frame when the time was found, mW/cm²', '10');
  await person.fill('Meter at the frame now', '5');
  await person.seen(/Time on this ticket\s+12:00/);
  await person.unfold('Does half the light take twice the time?');
  const label = 'Light and time for black, a line a print: 5 12:30';
  // A step print under the full light; then one behind a grey sheet, at a quarter of it, by a paper that counts E·t^0.8.
  await person.fill('Time of the step print (10:00, 10 min or 600)', '15:00');
  await person.fill('A number a step from the clear end on, densities or L*', readings(900).map((d) => d.toFixed(2)).join(' '));
  await person.seen(/Time for black behind clear film/);
  await person.press("Note the step print's time for black");
  await until('a line', async () => /^10 [56]:\d\d 0\.0\d+$/.test(await person.value(label)));
  const slow = 4 ** 0.25;
  await person.fill('Time of the step print (10:00, 10 min or 600)', String(Math.round(900 * 4 * slow)));
  await person.fill('Light at the frame of the print below (empty: the meter when the time was found)', '2.5');
  await person.seen(/Time for black behind clear film\s+3\d:\d\d/);
  await person.press("Note the step print's time for black");
  const [, p, low, high] = await person.seen(/Exponent ([\d.]+) \(([\d.]+) to ([\d.]+)\), from 2 prints: half the light takes 2\.3\d times the time/);
  assert.ok(Number(low) <= 0.8 && 0.8 <= Number(high), `${p}: ${low} to ${high}`);
  await person.seen(/Time on this ticket\s+14:[01]\d/);
  await person.seen(/How faint light counts\s+measured by you \(2\)\s+\+0\.2\d stop/);
  await person.choose('Take half the light to need twice the time');
  await person.seen(/Time on this ticket\s+12:00/);
  await person.fill(label, '10 6:00\n5 often');
  await until('a note', async () => /“5 often” is not a light and a time/.test((await person.note(label)).text));
  assert.equal(await person.value(label), '10 6:00\n5 often');
  assert.deepEqual(person.errors, []);
});
