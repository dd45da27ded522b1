// Scans at the tone station beyond the usual one: another chart, a scan of blank paper, one print scanned twice, a coat of
// another size, a chart through an old correction, and readings that do not belong together.
import assert from 'node:assert/strict';
import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { serve, temporaryFolder, testSite, until } from './harness.mjs';
import { carriedLink, labels, linkAt, makeChart, openScan, placeScale, steps, tap, takeReadings } from './tone-steps.mjs';
import { blankSheet, greyScale, greyTiff16, layout, layoutOf, otherChart, print, random, saturating, scan } from './tone-process.mjs';
import { readTiff } from './walk-files.mjs';
import { hands } from './walk-hands.mjs';
import { pixels } from './walk-model.mjs';
import { makeFilm } from './walk.mjs';

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t, { viewport: { width: 1280, height: 900 } });
  await person.open(server.origin);
  await person.go('Tone');
  return person;
}

const spread = (all) => Math.sqrt(all.reduce((sum, e) => sum + e * e, 0) / all.length);
/** Waits until a field says so. */
const said = (person, label, pattern) =>
  until(`${label}: ${pattern}`, async () => pattern.test((await person.note(label)).text)).catch(async (error) => {
    throw new Error(`${error.message}; it says: ${(await person.note(label)).text}`);
  });

test('another chart: rows, columns, corners, order, and what its numbers mean', async (t) => {
  const person = await begin(t);
  const [columns, rows] = [6, 4];
  // 24 greys of a positive in shuffled order; the film is its plain inversion. Patches run down the columns, to and fro.
  const { even } = random(77);
  const greys = Array.from({ length: 24 }, (_, i) => Math.round((255 * i) / 23))
    .map((grey) => [even(), grey])
    .sort(([a], [b]) => a - b)
    .map(([, grey]) => grey);
  const place = (column, row) => column * rows + (column % 2 ? rows - 1 - row : row);
  const { printed, corners } = otherChart({ columns, rows, code: (column, row) => greys[place(column, row)] / 255 });
  const picture = scan(printed);

  await person.choose('Another chart');
  await person.fill('Columns of the chart', String(columns));
  await person.fill('Rows of the chart', String(rows));
  await person.pick('Its patches follow each other', 'down the columns, to and fro');
  await person.fill(labels.numbers, greys.join(' '));
  await person.choose('Grey of the positive');
  await person.choose('A grey scale');
  await person.fill(labels.densities, greyScale.densities.map((d) => d.toFixed(2)).join(' '));
  await person.give('Open a scan or photo', { name: 'shop chart.tif', bytes: greyTiff16(picture) });
  await person.noticed(/Place the four corners of the chart on the picture/);
  assert.equal(await person.offers('Take these readings'), false);

  await person.choose('the chart');
  await tap(person, picture, corners.map(picture.at));
  await placeScale(person, picture);
  await person.seen(/The chart: 24 patches read\s+L\* by the grey scale in the picture/);
  // What was read is outlined on the picture, each patch where it lies.
  const outlined = await person.browser.page.locator('#tone svg polygon.outline').evaluateAll((all) =>
    all.map((one) => {
      const numbers = one.getAttribute('points').split(/[ ,]+/).map(Number);
      return [0, 1].map((axis) => numbers.filter((_, i) => i % 2 === axis).reduce((sum, v) => sum + v / 4, 0));
    }),
  );
  assert.equal(outlined.length, 24);
  outlined.forEach(([x, y], i) => {
    const column = Math.floor(i / rows);
    const row = column % 2 ? rows - 1 - (i % rows) : i % rows;
    const [u, v] = picture.at([14 + (99 * (column + 0.5)) / columns, 12 + (76 * (row + 0.5)) / rows]);
    assert.ok(Math.hypot(x - u, y - v) < 12, `patch ${i + 1} is outlined at ${x}, ${y} and lies at ${u}, ${v}`);
  });

  // Said otherwise than it is: refused with the reason, nothing to take.
  const wrong = [
    [() => person.choose('Grey of the film'), /get darker where the chart's numbers say that they get lighter\. Check what the numbers mean/],
    [() => person.pick('Its patches follow each other', 'along the rows'), /do not follow the chart's numbers\. Check the corners/],
  ];
  for (const [say, pattern] of wrong) {
    await say();
    await person.seen(/Something was changed since: read it again/);
    await person.press('Read it again');
    await said(person, labels.numbers, pattern);
    assert.equal(await person.offers('Take these readings'), false, String(pattern));
    await person.choose('Grey of the positive');
  }
  await person.pick('Its patches follow each other', 'down the columns, to and fro');
  await person.fill(labels.numbers, `${greys.join(' ')} 12`);
  await person.press('Read it again');
  await said(person, labels.numbers, /25 numbers do not fit into 6 × 4 patches\. Count/);
  await person.fill(labels.numbers, greys.slice(0, 23).join(' '));
  await person.press('Read it again');
  await said(person, labels.numbers, /23 numbers for 24 patches: the last 1 are not read\. Leave it so/);
  await person.fill(labels.numbers, greys.join(' '));
  await person.press('Read it again');
  await person.seen(/24 patches read/);
  await until('no more to say of the numbers', async () => (await person.note(labels.numbers)).text === '');

  const readings = await takeReadings(person);
  assert.equal(readings.length, 24);
  readings.forEach(([ink], i) => assert.ok(Math.abs(ink - greys[i] / 2.55) < 0.06, `patch ${i + 1}: ${ink} % of ${greys[i]}`));
  const off = spread(readings.map(([ink, l]) => l - saturating(ink / 100)));
  t.diagnostic(`another chart: readings ${off.toFixed(2)} L* off a process that was drawn with 0.3`);
  assert.ok(off < 0.5, `${off}`);
  assert.deepEqual(person.errors, []);
});

test('a blank scan is the shading of scans like itself, and of no others', async (t) => {
  const person = await begin(t);
  const { film } = await makeChart(person);
  // A lamp that falls off by a quarter, and no paper beside the print to see it by.
  const lamp = { shading: 0.25, around: 6 };
  const picture = scan(print(film, { noise: 0 }), lamp);
  const even = scan(print(film, { noise: 0 }), { ...lamp, shading: 0 });
  const read = async (name, of) => {
    const text = await openScan(person, name, greyTiff16(of));
    const lights = (await takeReadings(person)).map(([, l]) => l);
    await person.press('Undo');
    await person.press('Put the scan aside');
    return { text, lights };
  };
  await person.pick("The scan's numbers are", 'gamma 2.2');
  const truth = await read('even.tif', even);
  const without = await read('shaded.tif', picture);
  assert.match(without.text, /too little bare paper around the chart[\s\S]*or scan a blank sheet/);

  const shaded = async () => /shading is taken from the blank scan/.test(await person.read());
  const leaveOut = async () => {
    await person.press('Leave it out');
    await until('no blank scan', async () => !(await shaded()));
  };
  const blank = async (name, size) => {
    if (await shaded()) await leaveOut();
    await person.give('Open a scan of blank paper', { name, bytes: greyTiff16(blankSheet(size, lamp)) });
    await until('the blank scan', shaded);
  };
  await blank('blank.tif', picture);
  const with_ = await read('shaded.tif', picture);
  assert.doesNotMatch(with_.text, /too little bare paper around|blank paper was left out/);
  const off = ({ lights }) => {
    const apart = lights.map((l, i) => l - truth.lights[i]);
    const mean = apart.reduce((sum, e) => sum + e, 0) / apart.length;
    return spread(apart.map((e) => e - mean));
  };
  t.diagnostic(`a lamp that falls off by a quarter: patches ${off(without).toFixed(2)} L* off, with a blank scan ${off(with_).toFixed(2)}`);
  assert.ok(off(with_) < 0.25 * off(without), `${off(with_)} with, ${off(without)} without`);

  // Another frame, and numbers taken another way: left out, with what to do; the readings are those without it.
  const narrow = { width: Math.round(picture.width * 0.7), height: picture.height };
  await blank('narrow.tif', narrow);
  const leftOut = /The scan of blank paper was left out: it has another size than this scan[\s\S]*Scan a blank sheet with the same frame and settings/;
  const small = await read('shaded.tif', picture);
  assert.match(small.text, leftOut);
  assert.deepEqual(small.lights, without.lights);
  await person.pick("The scan's numbers are", 'as the file says');
  await blank('code.tif', picture);
  await person.pick("The scan's numbers are", 'gamma 2.2');
  assert.match((await read('shaded.tif', picture)).text, leftOut);
  // What is no blank sheet is refused, and the one that is there stays; it can be left out.
  await person.give('Open a scan of blank paper', { name: 'chart.tif', bytes: greyTiff16(picture) });
  await person.noticed(/This scan is not of blank paper\. Scan a white sheet alone/);
  assert.ok(await shaded());
  await leaveOut();
  assert.deepEqual(person.errors, []);
});

test('one print scanned twice, turned by half a turn', async (t) => {
  const person = await begin(t);
  const { film, name } = await makeChart(person);
  const one = print(film);
  const { field } = layout;
  // What the print itself shows at each patch, its coat's scatter and all.
  const middles = Array.from({ length: 42 }, (_, i) => [field.left + field.across * ((i % 7) + 0.5), field.top + field.down * (Math.floor(i / 7) + 0.5)]);
  const inkAt = ([x, y]) => film.at(film.width - 1 - pixels(x, film.ppi), pixels(y, film.ppi));
  // One place of the field is left to the ground.
  const ground = inkAt([field.left + field.across * 1.5, field.top + field.down - 1]);
  const shown = middles.filter((at) => inkAt(at) !== ground).map(([x, y]) => one(x, y));
  assert.equal(shown.length, 41);
  // The glass is uneven by waves that no margin of paper tells, and that half a turn brings from the other side.
  const glass = { ripple: 0.012 };
  const [upright, turned] = [scan(one, glass), scan(one, { ...glass, turn: 0.02 + Math.PI, seed: 31 })];
  await openScan(person, 'upright.tif', greyTiff16(upright), { scale: true });
  await placeScale(person, upright);
  await person.seen(/L\* by the grey scale in the picture/);
  const judged = (readings) => {
    assert.equal(readings.length, 41);
    const centred = (all) => all.map((e) => e - all.reduce((sum, v) => sum + v, 0) / all.length);
    return {
      scanner: spread(centred(readings.map(([, l], i) => l - shown[i]))),
      coat: spread(centred(readings.map(([ink, l]) => l - saturating(ink / 100)))),
    };
  };
  const first = judged(await takeReadings(person));
  const within = async () => Number((await person.seen(/middle grey within\s+± ([\d.]+) L\*/))[1]);
  const alone = await within();

  await openScan(person, 'turned.tif', greyTiff16(turned));
  await placeScale(person, turned);
  await person.seen(/L\* by the grey scale in the picture/);
  await person.press('It is the same print, scanned again');
  await said(person, labels.readings, /Both scans were put together: the scanner scatters 0\.\d\d L\*, and the two lie \d\.\d\d L\* apart/);
  const text = await person.value(labels.readings);
  const both = judged(text.trim().split('\n').slice(1).map((line) => line.split(',').slice(-2).map(Number)));
  t.diagnostic(
    `one scan: ${first.scanner.toFixed(2)} L* off the print, ${first.coat.toFixed(2)} off the process; both: ${both.scanner.toFixed(2)} and ${both.coat.toFixed(2)}`,
  );
  assert.ok(both.scanner < 0.75 * first.scanner, 'the scanner’s own noise is less');
  assert.ok(both.coat > 0.5, `the coat was drawn with 0.6 L*; ${both.coat} is left of it`);
  // It counts as one print with as many readings as before, and promises nothing more of coat and exposure.
  const page = await person.read();
  assert.match(page, /measured by you \(41 readings\)/);
  assert.doesNotMatch(page, /The sheets behind it/);
  assert.ok(Math.abs((await within()) - alone) <= 1, `${await within()} after, ${alone} before`);

  // Two prints given as one: said so, and the way back named.
  const other = scan(print(film, { seed: 8 }), glass);
  await openScan(person, 'another print.tif', greyTiff16(other));
  await placeScale(person, other);
  await person.seen(/L\* by the grey scale in the picture/);
  await person.press('It is the same print, scanned again');
  await said(person, labels.readings, /more than one print read twice on one scanner differs\. If these are two prints, undo it/);
  await person.press('Undo');
  await until('the readings of one print', async () => (await person.value(labels.readings)) === text);
  // A print of another chart is none of these.
  const { film: film2 } = await makeChart(person);
  const third = scan(print(film2));
  await openScan(person, 'third.tif', greyTiff16(third));
  await placeScale(person, third);
  await person.seen(/L\* by the grey scale in the picture/);
  await person.press('It is the same print, scanned again');
  await said(person, labels.readings, /no readings of a print 41-\d+ that this scan could repeat\. Take it in their place, or add it/);
  assert.equal(await person.value(labels.readings), text);
  assert.ok(text.includes(name));
  assert.deepEqual(person.errors, []);
});

test('two papers and two instruments are not mixed silently', async (t) => {
  const person = await begin(t);
  const { film, name } = await makeChart(person);
  const picture = scan(print(film));
  await openScan(person, 'one.tif', greyTiff16(picture), { scale: true });
  await placeScale(person, picture);
  await person.seen(/L\* by the grey scale in the picture/);
  const typed = '0 1.43\n10 1.36\n20 1.2\n35 0.8\n50 0.47\n70 0.22\n100 0.09';
  // Nobody said what these were read with: taken together, and asked.
  await person.fill(labels.readings, typed);
  await person.press('Add them as another sheet');
  await said(person, 'Read with', /cannot be told[\s\S]*Say whether they were all read with one instrument/);
  await person.press('Undo');
  // A densitometer: refused, and all stays.
  await until('the readings typed', async () => (await person.value(labels.readings)) === typed);
  await person.fill('Read with', 'densitometer');
  await person.press('Add them as another sheet');
  await said(person, 'Read with', /Readings of two kinds are not taken together; they differ in: way of reading[\s\S]*make a setup for each/);
  assert.equal((await person.note('Read with')).invalid, true);
  assert.equal(await person.value(labels.readings), typed);

  // Another paper, darker by five in its white.
  await takeReadings(person);
  const darker = (code) => saturating(code) - 6 * code;
  const second = scan(print(film, { shape: darker, seed: 6 }), { seed: 12 });
  await openScan(person, 'two.tif', greyTiff16(second));
  await placeScale(person, second);
  await person.seen(/L\* by the grey scale in the picture/);
  await person.press('Add them as another sheet');
  await said(person, labels.readings, new RegExp(`${name}(?: \\(2\\))?: its white is \\d\\.\\d L\\* (?:darker|lighter) than the other sheets'\\. Pool only sheets of one paper`));
  assert.deepEqual(person.errors, []);
});

test('a chart on another coat than was typed is told by its marks', async (t) => {
  const person = await begin(t);
  const coat = [152.4, 127];
  await person.fill(labels.width, '152,4');
  await person.fill(labels.height, '127');
  const { film } = await makeChart(person, coat);
  const on = layoutOf(coat);
  const picture = scan(print(film, { noise: 0, on }), { on });
  await person.fill(labels.width, '');
  await person.fill(labels.height, '');
  await person.pick("The scan's numbers are", 'gamma 2.2');
  await openScan(person, 'large.tif', greyTiff16(picture));
  const refused = /By the size of its marks the chart in the scan lies on a coat of about 15\d × 12\d mm, not of 127 × 10[12](?:[.,]\d)? mm\. Type the size of the coat it was made for/;
  await said(person, labels.width, refused);
  await person.seen(refused);
  assert.equal(await person.offers('Take these readings'), false);

  await person.fill(labels.width, '152,4');
  await person.fill(labels.height, '127');
  await person.seen(/Something was changed since: read it again/);
  await person.press('Read it again');
  await until('readings to take', () => person.offers('Take these readings'));
  const [, masked] = await person.seen(/masked spot L\* ([\d.]+)/);
  assert.ok(Math.abs(Number(masked) - saturating(1)) < 3, `masked spot ${masked}`);
  const readings = await takeReadings(person);
  const most = Math.max(...readings.map(([ink, l]) => Math.abs(l - saturating(ink / 100))));
  assert.ok(most < 6, `without a grey scale at most 6 L* off, not ${most}`);
  assert.equal((await person.note(labels.width)).text, '');
  assert.deepEqual(person.errors, []);
});

test('reading a scan shows how far it is and can be cancelled', async (t) => {
  const person = await begin(t);
  const { film, name } = await makeChart(person);
  const picture = scan(print(film));
  // Six times as many pixels each way: 38 million, as of an A4 page at 600 per inch.
  const times = 6;
  const [width, height] = [times * picture.width, times * picture.height];
  const codes = new Uint16Array(width * height);
  for (let y = 0; y < height; y++) {
    const row = Math.floor(y / times) * picture.width;
    for (let x = 0; x < width; x++) codes[y * width + x] = picture.codes[row + Math.floor(x / times)];
  }
  const large = join(await temporaryFolder(t), 'page.tif');
  await writeFile(large, greyTiff16({ width, height, codes }));
  await person.pick("The scan's numbers are", 'gamma 2.2');
  const { page } = person.browser;
  const running = page.getByRole('button', { name: 'Cancel', exact: true }).filter({ visible: true }).first();
  const began = Date.now();
  await person.give('Open a scan or photo', large);
  await running.click({ timeout: 5_000 });
  await running.waitFor({ state: 'hidden', timeout: 2_000 });
  t.diagnostic(`${((width * height) / 1e6).toFixed(0)} megapixels given up after ${Date.now() - began} ms, picking the file included`);
  assert.equal(await person.offers('Take these readings'), false);
  // The next one is read as if nothing had been.
  await openScan(person, 'small.tif', greyTiff16(picture));
  await person.seen(new RegExp(`Chart ${name}: 41 patches read`));
  await person.press('Put the scan aside');
  await person.give('Open a scan or photo', large);
  await person.seen(new RegExp(`Chart ${name}: 41 patches read, 4\\d\\.\\d px a mm`));
  assert.deepEqual(person.errors, []);
});

test('a chart that went through an old correction, and a coat that ends before the spots', async (t) => {
  const person = await begin(t);
  await person.choose('L* rises evenly, for checking');
  const { film } = await makeChart(person);
  const one = scan(print(film));
  await openScan(person, 'raw.tif', greyTiff16(one), { scale: true });
  await placeScale(person, one);
  await person.seen(/L\* by the grey scale in the picture/);
  await takeReadings(person);
  const { curves } = await carriedLink(person, { format: 'a device link, grey (ICC)', greys: 'L*' });
  // A film is made with it, so that the setup keeps it under a number.
  const made = await makeFilm(person, { picture: steps.picture(), title: 'Steps' });
  const [, number] = readTiff(made.bytes).description.match(/correction (\d+)/);
  await person.go('Tone');

  // By mistake the chart, too, was sent through it: each patch has the ink the correction makes of its code.
  const through = (code) => saturating(linkAt(curves[0], code));
  const printed = print(film, { shape: through, seed: 4 });
  const two = scan(printed, { seed: 14 });
  await openScan(person, 'through.tif', greyTiff16(two));
  await placeScale(person, two);
  await person.seen(/L\* by the grey scale in the picture/);
  const label = 'Correction the film went through';
  const before = await person.value(labels.readings);
  await person.fill(label, '99');
  await person.press('Take these readings');
  await said(person, label, /no correction 99 that a film was made with\. Type the number that stands on the film/);
  assert.equal(await person.value(labels.readings), before);
  await person.fill(label, number);
  const readings = await takeReadings(person);
  const off = spread(readings.map(([ink, l]) => l - saturating(ink / 100)));
  t.diagnostic(`read through correction ${number}: ${off.toFixed(2)} L* off the process, drawn with 0.6`);
  assert.ok(off < 0.8, `${off}`);
  await person.fill(label, '');

  // The coat was brushed too small: paper where the tape should be.
  const { masked } = layout;
  const short = scan((x, y) => (y > masked.top - 1 && x > masked.left - 1 ? null : printed(x, y)));
  await openScan(person, 'short.tif', greyTiff16(short));
  const text = await person.read();
  assert.match(text, /Clear film does not print black at its spot beside the tape: the coat does not reach there/);
  assert.doesNotMatch(text, /masked spot L\*/);
  assert.deepEqual(person.errors, []);
});
