// Make a bottle: palladium from its powder, an old recipe in grains, iron whose water nobody knows, labels on paper; each
// comes to the shelf and can be taken back.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { serve, testSite, until } from './harness.mjs';
import { hands } from './walk-hands.mjs';

const labels = {
  what: 'Solution',
  way: 'The strength is stated as',
  strength: 'Strength',
  volume: 'Volume, mL (or 4 fl oz, 6 drachms, 30 minims)',
  waters: 'Waters to one Fe2(C2O4)3, if its label says (0 to 6)',
  iron: 'Iron on its label, % (18 and 28 are met)',
  labels: 'Labels on the sheet (1 to 24)',
  shelf: 'It is made: put it on the shelf',
};

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t);
  await person.open(server.origin);
  await person.go('Stores');
  await person.browser.page.getByRole('link', { name: 'make a bottle', exact: true }).click();
  await person.browser.page.getByRole('heading', { level: 2, name: 'Make a bottle', exact: true }).waitFor();
  return person;
}

const bottles = (person) => person.browser.page.getByLabel('Size when bought or made, mL', { exact: true });

test('palladium from powder comes to the shelf, into a mix, and back', async (t) => {
  const person = await begin(t);
  await person.fill(labels.volume, '100');
  // 15 % Na2PdCl4: 9.041 g PdCl2 and 5.959 g NaCl, and 5 % of chloride more; from the atomic weights of 2021.
  await person.seen(/palladium\(II\) chloride PdCl2\s+9\.041 g\s+sodium chloride NaCl\s+6\.257 g/);
  await person.choose('lithium chloride');
  await person.seen(/PdCl2\s+10\.15 g\s+lithium chloride LiCl\s+5\.095 g/);
  await person.choose('sodium chloride');
  await person.press(labels.shelf);
  await person.seen(/It stands in the stores now: palladium, 100 mL/);
  // It is said where the finger is, and to those who listen.
  const said = person.browser.page.getByRole('status').filter({ hasText: 'It stands in the stores now' });
  const [button, note] = [person.browser.page.getByRole('button', { name: labels.shelf, exact: true }), said];
  const [above, below] = await Promise.all([button.boundingBox(), note.boundingBox()]);
  const gap = below.y - above.y - above.height;
  assert.ok(gap >= 0 && gap < 100, `${gap} px below its button`);
  await person.press('To the stores');
  await until('the bottle', async () => (await bottles(person).count()) === 1);
  assert.equal(await bottles(person).nth(0).inputValue(), '100');
  await person.go('Coat');
  await person.seen(/palladium: 100\.00 mL left/);
  await person.press('Undo');
  await person.go('Stores');
  await until('no bottle', async () => (await bottles(person).count()) === 0);
  assert.deepEqual(person.errors, []);
});

test('an old recipe in grains an ounce becomes a bottle', async (t) => {
  const person = await begin(t);
  await person.pick(labels.what, 'iron(III) oxalate');
  await person.pick(labels.way, 'an old recipe');
  await person.fill(labels.strength, '120 grains/oz');
  await person.fill(labels.volume, '4 fl oz');
  // 480 grains of 64.79891 mg; 27.37 % is the origin of the 27 % of today.
  await person.seen(/iron\(III\) oxalate\s+31\.10 g/);
  await person.seen(/27\.4\s% w\/v\s+1\.1\d–1\.4\d mol\/L iron/);
  await person.choose('of the United States, 29.6 mL');
  await person.seen(/26\.3\s% w\/v/);
  await person.choose('imperial, 28.4 mL');
  await person.press(labels.shelf);
  await person.seen(/It stands in the stores now/);
  await person.go('Coat');
  await person.seen(/iron\(III\) oxalate: 113\.70 mL left/);
  assert.deepEqual(person.errors, []);
});

test('what a label leaves open is asked for, and odd entries name field and mend', async (t) => {
  const person = await begin(t);
  await person.pick(labels.what, 'iron(III) oxalate');
  await person.seen(/1\.12–1\.44 mol\/L iron/);
  await person.fill(labels.waters, '5');
  await person.seen(/1\.16 mol\/L iron/);
  await person.pick(labels.what, 'ammonium iron(III) citrate');
  await person.pick(labels.way, 'mol/L');
  await person.fill(labels.strength, '0.8');
  assert.match((await person.note(labels.iron)).text, /no fixed composition.*label gives/s);
  await person.fill(labels.iron, '18');
  await person.seen(/24\.82 g|12\.41 g/);
  for (const [label, text, pattern] of [
    [labels.volume, '0', /The volume is zero.*Type how many mL/s],
    [labels.volume, '3 pounds', /is a weight.*fluid ounces/s],
    [labels.labels, '500', /outside 1 to 24/],
  ]) {
    await person.fill(label, text);
    await until(`a note for ${text}`, async () => pattern.test((await person.note(label)).text));
    await person.fill(label, label === labels.volume ? '50' : '1');
  }
  await person.pick(labels.what, 'potassium oxalate');
  await person.pick(labels.way, '% w/v');
  await person.fill(labels.strength, '45');
  assert.match((await person.note(labels.strength)).text, /not all dissolve.*33\s% w\/v is the most/s);
  assert.deepEqual(person.errors, []);
});

test('labels are printed by themselves, with a bar of 100 mm', async (t) => {
  const person = await begin(t);
  await person.fill(labels.labels, '6');
  await person.choose('the labels');
  const { page } = person.browser;
  await page.emulateMedia({ media: 'print' });
  const shown = async (selector) => page.locator(selector).filter({ visible: true }).count();
  assert.equal(await shown('#make .labels > div'), 6);
  assert.equal(await shown('#make .questions'), 0);
  assert.equal(await shown('#make h2'), 0);
  const bar = await page.locator('#make .check-bar').boundingBox();
  assert.ok(Math.abs(bar.width - (100 / 25.4) * 96) < 1, `${bar.width} px are not 100 mm`);
  const [one] = await page.locator('#make .labels > div').all();
  assert.match(await one.innerText(), /palladium\s+15\s% w\/v Na2PdCl4\s+0\.51 mol\/L.*made \d{4}-.*H302/s);
  await page.emulateMedia({ media: 'screen' });
  await person.choose('the sheet for the bench');
  await page.emulateMedia({ media: 'print' });
  assert.equal(await shown('#make .labels > div'), 0);
  assert.ok((await shown('#make .sequence > li')) >= 5);
  assert.deepEqual(person.errors, []);
});
