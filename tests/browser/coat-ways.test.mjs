// The coat's other ways: recipes with their baths, agents by amount, what is refused, powders drawn down, and entries that
// make no sense.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { serve, testSite, until } from './harness.mjs';
import { hands } from './walk-hands.mjs';

const labels = {
  width: 'Width of the picture, mm (empty: as on the negative)',
  height: 'Height of the picture, mm (empty: as on the negative)',
  sheets: 'Sheets from one cup (1 to 100)',
  coverage: 'Your own coverage as poured, mL/m² (5 to 300; empty: the starting value)',
  share: 'Platinum among the metal solutions, % by volume (0 to 100)',
  iron: 'Iron(III) oxalate, % w/v (27 is usual)',
  drops: 'Iron, drops/mL',
  dichromate: 'Dichromate stock in a litre of developer, mL (empty: none)',
  agent: 'Sodium hexachloroplatinate(IV), the same in every mix',
  recipe: 'Keep this mix and its baths as a recipe called',
};

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t);
  await person.open(server.origin);
  await person.go('Coat');
  await person.fill(labels.width, '8 in');
  await person.fill(labels.height, '10 in');
  return person;
}

/** Presses a button of the list row that begins with these words. */
const inRow = (person, words, name) =>
  person.browser.page
    .getByRole('listitem')
    .filter({ has: person.browser.page.getByText(words, { exact: true }) })
    .getByRole('button', { name, exact: true })
    .click();

test('a recipe brings its parts and its baths, says what it is for, and is kept under an own name', async (t) => {
  const person = await begin(t);
  await person.unfold('Recipes');
  await inRow(person, 'Cyanotype', 'Take it');
  await person.seen(/Neither its time nor its correction carries over/);
  const one = /ammonium iron\(III\) citrate\s+25\s%\s+1\.28 mL[\s\S]*potassium hexacyanoferrate\(III\)\s+10\s%\s+1\.28 mL/;
  await person.seen(one);
  await person.fill(labels.recipe, 'Blue practice');
  await person.press('Keep the recipe');
  await person.go('Baths');
  await person.seen(/Until no yellow is left|Wash/);
  assert.equal(await person.browser.page.locator('#baths tbody tr').count(), 1);
  await person.go('Coat');
  await inRow(person, 'Palladium with iron(III) oxalate', 'Take it');
  await person.seen(/palladium\s+15\s%\s+1\.28 mL/);
  await person.go('Baths');
  await until('five baths', async () => (await person.browser.page.locator('#baths tbody tr').count()) === 5);
  await person.go('Coat');
  await inRow(person, 'Blue practice', 'Take it');
  await person.seen(one);
  await person.press('Undo');
  await person.seen(/palladium\s+15\s%\s+1\.28 mL/);
  assert.deepEqual(person.errors, []);
});

test('agents go by amount, their effect by strips, and only what hurts at once is refused', async (t) => {
  const person = await begin(t);
  await person.unfold('Camera negatives and other ways');
  await person.fill(labels.dichromate, '4');
  // S. King's series: 4 mL of 5 % in a litre is 0.680 mmol and gave a scale of 1.50; its line gives 1.51.
  await person.seen(/0\.68 mmol, 200 mg K2Cr2O7 in a litre/);
  await person.seen(/1\.51 ± 0\.02 log H with dichromate in one published series/);
  await person.fill(labels.dichromate, '100');
  await person.seen(/Unknown for you: print two strips/);
  await person.fill(labels.dichromate, '');
  await person.unfold('Contrast agent');
  await person.choose(labels.agent);
  await person.seen(/One drop miscounted changes the agent by 100\s%\. Dilute 1 part of its solution with 9 parts of water/);
  await person.fill(labels.share, '50');
  // An expert's wish: the drops stay, with a warning.
  await person.seen(/throws hexachloroplatinate down as a yellow powder/);
  await person.seen(/contrast agent\s+5\s%\s+[\d.]+ mL\s+1 drop/);
  await person.unfold('Recipes');
  for (const part of ['iron(III) oxalate with chlorate', 'ammonium iron(III) oxalate', 'palladium']) await person.press(part);
  await person.seen(/ammonium chlorate, which can ignite by itself/);
  assert.doesNotMatch(await person.read(), /In the cup/);
  await person.press('Back to share and ratio');
  await person.seen(/In the cup/);
  assert.deepEqual(person.errors, []);
});

test('powders are drawn down by the bottle made of them, and undo brings them back', async (t) => {
  const person = await begin(t);
  await person.go('Stores');
  await person.press('Add a powder');
  await person.fill('Formula on its label, with its water', 'PdCl2');
  await person.fill('Grams when bought', '5');
  await person.browser.page.getByLabel('Price of the whole', { exact: true }).filter({ visible: true }).first().fill('300');
  await person.browser.page.getByRole('link', { name: 'make a bottle', exact: true }).click();
  await person.seen(/palladium\(II\) chloride PdCl2\s+4\.520 g/);
  await person.press('It is made: put it on the shelf');
  await person.press('To the stores');
  // 5 g less 4.5203 g, shown to four figures.
  await person.seen(/PdCl2\s+0\.4796 g left, 60\.00 a gram/);
  await person.press('Undo');
  await person.seen(/PdCl2\s+5 g left/);
  assert.deepEqual(person.errors, []);
});

test('entries that make no sense name their field and the mend, and take nothing else with them', async (t) => {
  const person = await begin(t);
  await person.unfold('Strengths and drops');
  for (const [label, text, pattern, back] of [
    [labels.width, '0', /The width is 0 mm.*Type a length/s, '8 in'],
    [labels.height, '-250', /outside 5 to 2000|Type a length/s, '10 in'],
    [labels.sheets, '10000', /10000, outside 1 to 100.*Check the digits/s, '1'],
    [labels.coverage, '-3', /outside 5 to 300.*Check the digits/s, ''],
    [labels.iron, '0', /outside 0\.1 to 60.*Check the digits/s, '27'],
    [labels.iron, 'strong', /is not a number.*Type digits/s, '27'],
    [labels.drops, '0', /outside 5 to 100.*Check the digits/s, ''],
    [labels.share, '1,2.3', /both a comma and a point.*Leave out/s, '0'],
  ]) {
    await person.fill(label, text);
    await until(`a note for ${label}: ${text}`, async () => pattern.test((await person.note(label)).text));
    assert.ok((await person.note(label)).invalid);
    assert.equal(await person.value(label), text);
    await person.fill(label, back);
    await person.seen(/In the cup: 2\.5\d mL/);
  }
  await person.go('Stores');
  await person.press('iron(III) oxalate');
  await person.fill('Opened or made on (2026-02-14)', '2999-01-01');
  assert.match((await person.note('Opened or made on (2026-02-14)')).text, /lies in the future.*Check the year/s);
  await person.unfold('What its label counts');
  await person.fill('Formula on its label (empty: the usual one)', 'Xy3');
  assert.match((await person.note('Formula on its label (empty: the usual one)')).text, /Xy is no element.*Check capitals/s);
  await person.go('Coat');
  // A bottle without a volume is shown, and nothing is drawn from it.
  await person.seen(/volume not known/);
  assert.equal(await person.offers('Mixed: draw it from the bottles'), false);
  assert.deepEqual(person.errors, []);
});
