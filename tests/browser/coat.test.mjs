// Coat and stores: from three bought bottles to a mix, a wrong mix put back, and what an edition takes.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { serve, testSite, until } from './harness.mjs';
import { hands } from './walk-hands.mjs';

const labels = {
  width: 'Width of the picture, mm (empty: as on the negative)',
  height: 'Height of the picture, mm (empty: as on the negative)',
  size: 'Size when bought or made, mL',
  left: 'Left, mL (empty: full)',
  drops: 'Drops counted',
  filled: 'They filled, mL',
  sheets: 'Sheets from one cup (1 to 100)',
  edition: 'Good prints still wanted, proofs counted (1 to 1000; empty: no edition)',
  good: 'Good prints of a hundred attempts, % (5 to 100; empty: as your records say)',
};

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t);
  await person.open(server.origin);
  return person;
}

/** The bottles as they are bought: one press each. */
async function bottles(person) {
  await person.go('Stores');
  for (const content of ['iron(III) oxalate', 'palladium', 'contrast agent']) await person.press(content);
  await until('three bottles', async () => (await person.browser.page.getByLabel(labels.size, { exact: true }).count()) === 3);
}

const nth = (person, label, row) => person.browser.page.getByLabel(label, { exact: true }).nth(row);

test('a new printer with three bottles gets a mix for 8 × 10 inches in at most six answers', async (t) => {
  const person = await begin(t);
  let answers = 0;
  const answer = async (doing) => {
    answers += 1;
    await doing;
  };
  await person.go('Stores');
  for (const content of ['iron(III) oxalate', 'palladium', 'contrast agent']) await answer(person.press(content));
  await person.go('Coat');
  await answer(person.fill(labels.width, '8 in'));
  await answer(person.fill(labels.height, '10 in'));
  await person.seen(/Coated: 223\.2 × 287 mm/);
  const text = await person.read();
  const volume = Number(text.match(/for a sheet\s+([\d.]+) mL/)[1]);
  // Published amounts for a brush: about 1.5 to 3 mL, most near 2.4.
  assert.ok(volume >= 2.2 && volume <= 2.8, `${volume} mL`);
  const parts = [...text.matchAll(/(iron\(III\) oxalate|palladium)\s+[\d.]+\s%\s+([\d.]+) mL\s+(\d+) drops/g)];
  assert.equal(parts.length, 2);
  assert.ok(Math.abs(parts.reduce((sum, [, , ml]) => sum + Number(ml), 0) - volume) < 0.011);
  assert.ok(answers <= 6, `${answers} answers`);
  assert.deepEqual(person.errors, []);
});

test('a wrong mix is put back to the last digit, at once or later', async (t) => {
  const person = await begin(t);
  await bottles(person);
  await nth(person, labels.size, 0).fill('50');
  await nth(person, labels.size, 1).fill('25');
  await nth(person, labels.left, 1).fill('11,40');
  await nth(person, labels.size, 2).fill('10');
  const levels = async () => [await nth(person, labels.left, 0).inputValue(), await nth(person, labels.left, 1).inputValue()];
  await person.go('Coat');
  await person.fill(labels.sheets, '2');
  await person.press('Mixed: draw it from the bottles');
  await person.seen(/Drawn from the bottles: 2\.\d\d mL iron\(III\) oxalate, 2\.\d\d mL palladium/);
  // Something else is done in between, so that the short undo is gone.
  await person.fill(labels.sheets, '3');
  await person.go('Stores');
  const drawn = await levels();
  assert.ok(Number(drawn[0]) < 48 && Number(drawn[1]) < 9, drawn.join());
  await person.go('Coat');
  await person.press('It was wrong: put it back');
  await until('the mix can be drawn again', () => person.offers('Mixed: draw it from the bottles'));
  await person.go('Stores');
  assert.deepEqual(await levels(), ['', '11,40']);
  await person.go('Coat');
  await person.press('Mixed: draw it from the bottles');
  await person.seen(/Drawn from the bottles: 3\.\d\d mL/);
  await person.press('Undo');
  await until('the mix can be drawn again', () => person.offers('Mixed: draw it from the bottles'));
  await person.go('Stores');
  assert.deepEqual(await levels(), ['', '11,40']);
  assert.deepEqual(person.errors, []);
});

test('an edition of 12 at 80 % yield says how many mL to order', async (t) => {
  const person = await begin(t);
  await bottles(person);
  for (const [row, size] of [[0, '50'], [1, '10'], [2, '10']]) await nth(person, labels.size, row).fill(size);
  await person.go('Coat');
  await person.fill(labels.width, '8 in');
  await person.fill(labels.height, '10 in');
  await person.fill(labels.edition, '12');
  assert.match((await person.note(labels.good)).text, /Nobody knows yet/);
  await person.fill(labels.good, '80');
  // Negative binomial: with 18 attempts twelve good ones are reached in 94.9 of 100 cases, with 17 in less than 90.
  await person.seen(/18\sattempts are enough for 12\sgood prints with 90\s% confidence; 15\son average/);
  const text = await person.read();
  const one = Number(text.match(/palladium\s+15\s%\s+([\d.]+) mL/)[1]);
  const [, need, have, order] = text.match(/palladium\s+([\d.]+) mL\s+([\d.]+) mL\s+(\d+) mL/).map(Number);
  assert.ok(Math.abs(need - 18 * one) < 18 * 0.006, `${need} is not 18 × ${one}`);
  assert.equal(have, 10);
  assert.equal(order, Math.ceil(need - have));
  assert.match(text, /iron\(III\) oxalate\s+[\d.]+ mL\s+50\.00 mL\s+nothing/);
  assert.deepEqual(person.errors, []);
});

test('a dropper is counted and the iron is tested, and both are kept', async (t) => {
  const person = await begin(t);
  await bottles(person);
  await person.browser.page.locator('summary').filter({ hasText: 'Measure its dropper', visible: true }).first().click();
  await nth(person, labels.drops, 0).fill('250');
  await nth(person, labels.filled, 0).fill('10');
  await person.seen(/25 drops\/mL/);
  await person.press('No blue, then blue in light');
  await person.seen(/iron\(III\) oxalate \d{4}-\d\d-\d\d: good/);
  await person.browser.page.reload();
  await person.seen(/iron\(III\) oxalate \d{4}-\d\d-\d\d: good/);
  await person.go('Coat');
  await person.fill(labels.width, '8 in');
  await person.fill(labels.height, '10 in');
  // 2.56 mL: half of it iron, 25 drops a millilitre.
  await person.seen(/iron\(III\) oxalate\s+27\s%\s+1\.28 mL\s+32 drops/);
  assert.deepEqual(person.errors, []);
});
