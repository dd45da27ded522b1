// The tone station: a chart made, printed through an invented process, scanned, read and carried out; the same by eyes
// only; two sheets together.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { serve, testSite } from './harness.mjs';
import { carriedLink, carriedPoints, carriedTable, linkAt, makeChart, openScan, placeScale, printedAgain, steps, tableOf, takeReadings } from './tone-steps.mjs';
import { greyTiff16, ofDensity, print, saturating, scan } from './tone-process.mjs';
import { readTiff } from './walk-files.mjs';
import { hands } from './walk-hands.mjs';
import { fileValue } from './walk-model.mjs';
import { makeFilm } from './walk.mjs';

async function begin(t, options) {
  const server = await serve(t, testSite);
  const person = await hands(t, options);
  await person.open(server.origin);
  await person.go('Tone');
  return person;
}

test('a chart, its scan and a grey scale give a film, a device link and points', async (t) => {
  const person = await begin(t, { viewport: { width: 1280, height: 900 } });
  await person.choose('L* rises evenly, for checking');
  const { film, name } = await makeChart(person);
  const picture = scan(print(film));
  const found = await openScan(person, 'sheet one.tif', greyTiff16(picture), { scale: true });
  assert.match(found, new RegExp(`Chart ${name}: 41 patches read, 7\\.\\d px a mm`));
  // Without a profile and before the grey scale is placed nothing is claimed but the order.
  assert.match(found, /Only the order of the patches is certain/);
  assert.match(found, /Place the four corners of the grey scale/);

  await placeScale(person, picture);
  await person.seen(/L\* by the grey scale in the picture, ± 0\.3/);
  const readings = await takeReadings(person);
  assert.equal(readings.length, 41);
  const off = readings.map(([ink, l]) => l - saturating(ink / 100));
  const scatter = Math.sqrt(off.reduce((sum, e) => sum + e * e, 0) / off.length);
  assert.ok(scatter < 0.8, `readings lie ${scatter} L* off the process that was drawn with 0.6`);

  const [, within] = await person.seen(/middle grey within\s+± ([\d.]+) L\*/);
  assert.ok(Number(within) >= 1 && Number(within) <= 6, within);
  await person.seen(/What limits it is/);
  await person.seen(/Light through full ink\s+0\.0\d D/);

  // The correction as the device link holds it, printed again: three prints of the chart, all errors together, because
  // the bar is for the design and not for the chance of one print's few patches of black and white.
  const grey = { format: 'a device link, grey (ICC)', greys: 'L*' };
  let link = await carriedLink(person, grey);
  const rounds = [printedAgain((u) => linkAt(link.curves[0], u))];
  for (const seed of [2, 3]) {
    const again = scan(print(film, { seed }), { seed: 20 + seed });
    await openScan(person, `print ${seed}.tif`, greyTiff16(again));
    await placeScale(person, again);
    await person.seen(/L\* by the grey scale in the picture, ± 0\.3/);
    assert.equal((await takeReadings(person)).length, 41);
    link = await carriedLink(person, grey);
    rounds.push(printedAgain((u) => linkAt(link.curves[0], u)));
  }
  const rms = Math.sqrt(rounds.reduce((sum, round) => sum + round.rms ** 2 / rounds.length, 0));
  const worst = Math.max(...rounds.map((round) => round.worst));
  t.diagnostic(`41 patches, noise 0.6 L*, grey scale: RMS ${rms.toFixed(2)} (${rounds.map((r) => r.rms.toFixed(2)).join(', ')}), worst ${worst.toFixed(2)} L*`);
  assert.ok(rms <= 0.7 && worst <= 1.8, `RMS ${rms}, worst ${worst}`);
  // What the page shows is what the link holds, and its band holds the truth.
  const rows = await tableOf(person);
  assert.equal(rows.length, 21);
  rows.forEach(([tone, ink, value, l, half]) => {
    const held = linkAt(link.curves[0], tone / 100);
    assert.ok(Math.abs(100 * held - ink) < 0.06, `${tone} %: ${100 * held} in the link, ${ink} on the page`);
    assert.ok(Math.abs(fileValue(held) - value) <= 2, `${tone} %: ${value} in the film`);
    assert.ok(Math.abs(saturating(held) - l) <= half, `${tone} %: prints ${saturating(held)}, not ${l} ± ${half}`);
  });
  // With the inversion in it, and for RGB: the same curve.
  const turned = await carriedLink(person, { format: 'a device link, RGB (ICC)', greys: 'L*', inverted: true });
  assert.equal(turned.curves.length, 3);
  for (const curve of turned.curves) {
    curve.forEach((value, i) => assert.ok(Math.abs(65535 - value - link.curves[0][i]) <= 1, `entry ${i}`));
  }

  const points = await carriedPoints(person, { most: 20, greys: 'L*' });
  // On the print that the response expects, as the promise says, and on the one the process gives.
  const expected = await carriedTable(person, { greys: 'L*' });
  const farthest = (prints) =>
    Math.max(...Array.from({ length: 256 }, (_, i) => Math.abs(prints(points.at(i / 255)) - prints(linkAt(link.curves[0], i / 255)))));
  const [promised, real] = [farthest(expected), farthest(saturating)];
  t.diagnostic(`${points.pairs.length} points: ${promised.toFixed(2)} L* off the curve, ${real.toFixed(2)} on the print; ${points.worst} promised`);
  assert.ok(promised <= points.worst + 0.1, `${promised} L* off, ${points.worst} promised`);
  assert.ok(real <= 2 * points.worst + 0.2, `${real} L* off on the print`);

  const { bytes } = await makeFilm(person, { picture: steps.picture(), title: 'Steps' });
  steps.check(readTiff(bytes), (u) => linkAt(link.curves[0], u));
  assert.match(readTiff(bytes).description, /correction \d+, 41 readings;/);
  // Beside the preview the picture's own tones, with the band of the next print; the process lies in it.
  const L = 'L\\*\\s(\\d+), (\\d+) to (\\d+)';
  const told = await person.seen(new RegExp(`Dark: a twentieth is darker\\s+${L}\\s+Middle: half is darker\\s+${L}\\s+Light: a twentieth is lighter\\s+${L}`));
  const greys = steps.tones();
  [0, 9, 18].forEach((place, i) => {
    const [value, low, high] = told.slice(3 * i + 1, 3 * i + 4).map(Number);
    // The border between two steps is neither; the proxy may hold either.
    const real = [greys[place], greys[place + 1]].map((u) => saturating(linkAt(link.curves[0], u)));
    assert.ok(low < value && value < high && high - low < 20, told[0]);
    assert.ok(real[0] <= high && real[1] >= low, `${told[0]}: really ${real}`);
  });
  assert.deepEqual(person.errors, []);
});

test('by eyes only: an ink ramp beside a step tablet', async (t) => {
  const person = await begin(t);
  await person.choose('Eyes: an ink ramp beside a step tablet');
  await person.choose('L* rises evenly, for checking');
  const ramp = await person.take('Make the ink ramp film');
  const film = readTiff(ramp.bytes);
  const inks = [0, 10, 20, 35, 50, 70, 100];
  const seen = inks.map((_, i) => film.at(film.width - 1 - Math.round(((6 + ((i + 0.5) * 130) / 7) * film.ppi) / 25.4), 40));
  assert.deepEqual(seen, inks.map((ink) => fileValue(ink / 100)), 'seven touching steps of raw ink');

  // The print: ink and tablet in one exposure on the same paper, and eyes that tell touching tones apart from a density
  // of 0.015 on (common practice, no source).
  const tablet = Array.from({ length: 21 }, (_, i) => 0.05 + 0.15 * i);
  const paper = (density) => 0.08 + 1.36 * (1 - Math.exp(-(10 ** (0.6 - density)))) ** 1.15;
  const shown = tablet.map((density) => ofDensity(paper(density)));
  const asBlack = tablet.filter((density) => paper(0) - paper(density) < 0.015).length;
  const asWhite = tablet.findIndex((density) => paper(density) - 0.08 < 0.015) + 1;
  await person.fill('Last step that prints as black as clear film', String(asBlack));
  await person.fill('First step that prints white', String(asWhite));
  for (const ink of inks) {
    const l = saturating(ink / 100);
    const darker = shown.filter((s) => s < l).length;
    const row = person.browser.page.getByRole('group').filter({ hasText: new RegExp(`^\\s*${ink}\\s% ink`) });
    if (darker > 0) await row.getByLabel('Darker: step').fill(String(darker));
    if (darker < tablet.length) await row.getByLabel('Lighter: step').fill(String(darker + 1));
  }
  const [, within] = await person.seen(/middle grey within\s+± ([\d.]+) L\*/);
  const link = await carriedLink(person, { format: 'a device link, grey (ICC)', greys: 'L*' });
  const { rms, worst } = printedAgain((u) => linkAt(link.curves[0], u));
  const rows = await tableOf(person);
  const band = Math.max(...rows.map(([, , , , half]) => half));
  t.diagnostic(`by eyes: RMS ${rms.toFixed(1)}, worst ${worst.toFixed(1)} L*; middle grey ± ${within}, band up to ± ${band}`);
  assert.ok(Number(within) >= 4 && band >= 6, `a wide band: ± ${within}, ± ${band}`);
  const out = rows.filter(([, ink, , l, half]) => Math.abs(saturating(ink / 100) - l) > half);
  assert.ok(out.length <= 1, `the truth lies outside the band at ${out}`);

  const { bytes } = await makeFilm(person, { picture: steps.picture(), title: 'By eye' });
  steps.check(readTiff(bytes), (u) => linkAt(link.curves[0], u));
  assert.match(readTiff(bytes).description, /correction \d+, a step tablet;/);
  assert.deepEqual(person.errors, []);
});

test('two sheets are pooled', async (t) => {
  const person = await begin(t);
  await person.choose('L* rises evenly, for checking');
  const { film, name } = await makeChart(person);
  const one = scan(print(film));
  await openScan(person, 'sheet one.tif', greyTiff16(one), { scale: true });
  await placeScale(person, one);
  await person.seen(/L\* by the grey scale in the picture/);
  await takeReadings(person);
  const alone = Number((await person.seen(/middle grey within\s+± ([\d.]+) L\*/))[1]);

  // The second sheet got a sixth of a stop less light, and has its own uneven coat.
  const lighter = (code) => saturating(Math.min(1, code + 0.02));
  const two = scan(print(film, { shape: lighter, seed: 5 }), { turn: -0.03, seed: 11 });
  await openScan(person, 'sheet two.tif', greyTiff16(two));
  await placeScale(person, two);
  await person.seen(/L\* by the grey scale in the picture/);
  await person.press('Add them as another sheet');
  await person.seen(/measured by you \(82 readings\)/);
  await person.press('Undo');
  await person.seen(/measured by you \(41 readings\)/);
  await person.press('Add them as another sheet');
  const text = (await person.seen(/The sheets behind it\s+([\s\S]*?)\n\n/))[1];
  const sheets = [...text.matchAll(/^(\S+(?: \(\d\))?): 41 readings, middle tones (−?[\d.]+) ± ([\d.]+) L\*/gm)];
  assert.deepEqual(sheets.map((s) => s[1]), [name, `${name} (2)`], text);
  const [first, second] = sheets.map((s) => Number(s[2].replace('−', '-')));
  const truth = [0.2, 0.25, 0.3, 0.35, 0.4].reduce((sum, c) => sum + (lighter(c) - saturating(c)) / 5, 0);
  t.diagnostic(`sheets ${first} and ${second} L* off their mean; ${truth.toFixed(1)} apart in truth`);
  assert.ok(second > 0 && first < 0 && Math.abs(second - first - truth) < 1.2, `${first}, ${second}: ${truth} apart`);
  await person.seen(/Correction measured by you \(82 readings\)/);
  const together = Number((await person.seen(/middle grey within\s+± ([\d.]+) L\*/))[1]);
  assert.ok(together <= alone, `${together} with two sheets, ${alone} with one`);

  // The correction is that of the mean sheet.
  const link = await carriedLink(person, { format: 'a device link, grey (ICC)', greys: 'L*' });
  const { rms, worst } = printedAgain((u) => linkAt(link.curves[0], u), (c) => (saturating(c) + lighter(c)) / 2);
  t.diagnostic(`two sheets: RMS ${rms.toFixed(2)}, worst ${worst.toFixed(2)} L*`);
  assert.ok(rms <= 0.7 && worst <= 1.8, `RMS ${rms}, worst ${worst}`);
  assert.deepEqual(person.errors, []);
});
