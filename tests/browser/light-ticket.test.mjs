// The time of a ticket: own prints, the meter and a cold lamp move it by themselves, each in a row of its own, and the
// workroom counts what the light shows.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { bookFile, labels as kept } from './book-steps.mjs';
import { save, serve, testSite, until } from './harness.mjs';
import { black, density } from './light-model.mjs';
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
