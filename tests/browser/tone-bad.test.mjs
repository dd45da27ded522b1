// Wrong and damaged input at the tone station: each is read with a remark, or refused with the reason and the mend, in
// its place; what was typed stays.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { photograph, serve, testSite, until } from './harness.mjs';
import { labels, makeChart, openScan, tap, takeReadings } from './tone-steps.mjs';
import { greyScale, greyTiff16, moved, print, recoded, saturating, scan } from './tone-process.mjs';
import { hands } from './walk-hands.mjs';
import { readings as invented } from './walk-model.mjs';

const typed = invented.map((row) => row.join(' ')).join('\n');

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t, { viewport: { width: 1280, height: 900 } });
  await person.open(server.origin);
  await person.go('Tone');
  await person.fill(labels.readings, typed);
  return person;
}

/** The picture as a JPEG, squeezed as hard as `quality` says. */
async function jpegOf(person, picture, quality) {
  const grey = Buffer.from(Uint8Array.from(picture.codes, (code) => code >> 8));
  const text = await person.browser.page.evaluate(async ([base64, width, height, quality]) => {
    const grey = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
    const canvas = new OffscreenCanvas(width, height);
    const image = new ImageData(width, height);
    grey.forEach((v, i) => image.data.set([v, v, v, 255], 4 * i));
    canvas.getContext('2d').putImageData(image, 0, 0);
    const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/jpeg', quality })).arrayBuffer());
    let text = '';
    for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
    return btoa(text);
  }, [grey.toString('base64'), picture.width, picture.height, quality]);
  return Buffer.from(text, 'base64');
}

test('scans that are wrong', async (t) => {
  const person = await begin(t);
  const { film, name } = await makeChart(person);
  const printed = print(film);
  const good = scan(printed);
  const { width, height } = good;
  await person.pick("The scan's numbers are", 'gamma 2.2');

  const refused = [
    ['cut.tif', greyTiff16(moved(good, Math.round(width * 0.8), height, (x, y) => [x, y])), /(part of the chart lies outside|corner marks of the chart were not found)[\s\S]*bare paper/],
    ['small.tif', greyTiff16(moved(good, Math.floor(width / 7), Math.floor(height / 7), (x, y) => [7 * x, 7 * y])), /too few pixels to be read\. Scan at 300/],
    ['light.tif', greyTiff16(recoded(good, (c) => Math.min(65535, 1.25 * c))), /lightest patches are cut off[\s\S]*automatic corrections off/],
    ['dark.tif', greyTiff16(recoded(good, (c) => Math.max(0, 1.4 * (c - 18000)))), /darkest patches are cut off[\s\S]*automatic corrections off/],
    ['starfish.jpg', photograph, /corner marks of the chart were not found[\s\S]*by hand/],
    ['letter.tif', Buffer.from('Dear printer, this is no picture.'), /letter\.tif[\s\S]*Export/],
    ['half.tif', greyTiff16(good).subarray(0, 400_000), /half\.tif[\s\S]*damaged or cut off/],
  ];
  for (const [file, bytes, pattern] of refused) {
    await person.give('Open a scan or photo', typeof bytes === 'string' ? bytes : { name: file, bytes });
    const [words] = await person.noticed(pattern).catch((error) => assert.fail(`${file}: ${error.message}`));
    assert.ok((await person.notices()).includes(file), `${file} is named: ${words}`);
    assert.equal(await person.offers('Take these readings'), false, file);
    assert.equal(await person.value(labels.readings), typed, file);
  }

  // Another chart than the one that was named.
  await person.fill(labels.name, '41-12');
  await person.give('Open a scan or photo', { name: 'other.tif', bytes: greyTiff16(good) });
  await person.noticed(new RegExp(`This is chart ${name}, not the one that was chosen\\. Empty the field`));
  await person.fill(labels.name, 'forty-one');
  await person.press('Read it again');
  await until('a note at the name', async () => /no name of a tone chart\. It stands on the film/.test((await person.note(labels.name)).text));
  await person.fill(labels.name, '');

  const hair = { ...good, codes: good.codes.slice() };
  const [hx, hy] = good.marks[1];
  for (let y = -40; y < 40; y++) for (let x = -16; x < 16; x++) hair.codes[Math.round(hy + y) * width + Math.round(hx + x + y / 3)] = 6000;
  const readable = [
    ['upside-down.tif', greyTiff16(moved(good, width, height, (x, y) => [width - 1 - x, height - 1 - y])), null],
    ['mirrored.tif', greyTiff16(moved(good, width, height, (x, y) => [width - 1 - x, y])), /shows the chart in a mirror; the readings hold/],
    ['squeezed.jpg', await jpegOf(person, good, 0.15), null],
    ['hair.tif', greyTiff16(hair), /One corner mark was not seen[\s\S]*Look at the overlay/],
    ['bare.tif', greyTiff16(scan(print(film, { tape: false }))), /as dark as clear film, so the true white is not known/],
    ['stray.tif', greyTiff16(scan(printed, { gamma: 1 })), /file's light was probably taken wrongly/],
  ];
  for (const [file, bytes, remark] of readable) {
    const said = await openScan(person, file, bytes).catch((error) => assert.fail(`${file}: ${error.message}`));
    assert.match(said, new RegExp(`Chart ${name}: 41 patches read`), file);
    if (remark) assert.match(said, remark, file);
    else assert.doesNotMatch(said, /in a mirror|not seen|probably taken wrongly/, file);
    if (file === 'stray.tif') assert.match(said, /Only the order of the patches is certain/, file);
    assert.equal(await person.value(labels.readings), typed, file);
  }
  // What was changed since the reading is read before it is taken.
  await openScan(person, 'upside-down.tif', readable[0][1]);
  await person.pick("The scan's numbers are", 'gamma 1.8');
  await person.seen(/Something was changed since: read it again/);
  assert.equal(await person.offers('Take these readings'), false);
  await person.pick("The scan's numbers are", 'gamma 2.2');
  const upside = await takeReadings(person);
  const most = Math.max(...upside.map(([ink, l]) => Math.abs(l - saturating(ink / 100))));
  t.diagnostic(`without a grey scale at most ${most.toFixed(1)} L* off`);
  assert.ok(most < 6, `flare and gain make ${most} L* without a grey scale, a turned chart would make more`);
  await person.press('Undo');
  await until('what was typed to be back', async () => (await person.value(labels.readings)) === typed);

  // Corners: three are not enough; four by hand do.
  await person.choose('the chart');
  await tap(person, good, good.marks.slice(0, 3));
  await person.press('Read it again');
  await until('a note at the corners', async () => /3 of its four corners\. Tap upper left/.test((await person.note(labels.marks)).text));
  await person.press('Clear the corners');
  // A grey scale without densities, and with those of another one.
  await person.choose('A grey scale');
  await person.press('Read it again');
  await until('a note at the densities', async () => /densities of at least three steps/.test((await person.note(labels.densities)).text));
  await person.fill(labels.densities, [1.2, 0.1, 0.9, 0.5, 1.5, 0.3].join(' '));
  await openScan(person, 'plain.tif', greyTiff16(good));
  await person.fill(labels.scale, good.scale.map((c) => c.join(' ')).join('; '));
  await person.press('Read it again');
  await person.noticed(/steps of the grey scale do not follow its densities\. Check the corners/);
  await person.fill(labels.densities, greyScale.densities.map((d) => d.toFixed(2)).join(' '));
  await person.press('Read it again');
  await person.seen(/L\* by the grey scale in the picture/);
  assert.deepEqual(person.errors, []);
});

test('files of readings that are wrong', async (t) => {
  const person = await begin(t);
  const note = async (what, pattern) =>
    until(what, async () => pattern.test((await person.note(labels.readings)).text)).catch(async () =>
      assert.fail(`${what}: ${pattern} is not in ${(await person.note(labels.readings)).text}`),
    );
  const cgats = (rows, { sets = rows.length, comma = false, bom = false } = {}) => {
    const cell = (x) => (comma ? String(x).replace('.', ',') : String(x));
    const lines = rows.map(([ink, d], i) => [i + 1, cell(ink), cell(d)].join('\t'));
    const head = ['CGATS.17', 'ORIGINATOR "Test"', 'NUMBER_OF_FIELDS 3', 'BEGIN_DATA_FORMAT', 'SAMPLE_ID CMYK_K D_VIS', 'END_DATA_FORMAT'];
    return `${bom ? '\ufeff' : ''}${[...head, `NUMBER_OF_SETS ${sets}`, 'BEGIN_DATA', ...lines, 'END_DATA', ''].join('\r\n')}`;
  };
  const give = (name, text) => person.give('Take them from a CSV or text file', { name, bytes: Buffer.from(text) });

  // No readings in it: what was typed stays.
  for (const [name, text] of [['letter.txt', 'Dear printer,\nthe chart comes tomorrow.\n'], ['picture.csv', greyTiff16(scan(() => 50, { perMm: 1 }))], ['empty.csv', '']]) {
    await give(name, text);
    await note(name, /no readings in that file; those typed here stay\. Choose a text file/);
    assert.equal(await person.value(labels.readings), typed, name);
  }
  const held = async (n) => {
    await person.go('Negative');
    await person.seen(new RegExp(`from ${n} readings`));
    await person.go('Tone');
  };
  await held(31);

  await give('comma.txt', cgats(invented, { comma: true }));
  await note('a decimal comma', /comma were read as decimals/);
  await held(31);
  await give('bom.txt', cgats(invented, { bom: true }));
  await held(31);
  await give('more.txt', cgats(invented, { sets: 40 }));
  await note('sets that are not there', /40/);
  await held(31);
  await give('fewer.txt', cgats(invented, { sets: 20 }));
  await note('more sets than said', /20/);

  // Duplicates that disagree, and the list upside down.
  await person.fill(labels.readings, `${typed}\n50 0.62`);
  await person.seen(/Readings to look at again\s+Reading 32 \(50(?:\.0)?\s% ink\): [\d.]+ L\* darker/);
  await person.fill(labels.readings, invented.map(([ink, d]) => `${100 - ink} ${d}`).join('\n'));
  await note('the wrong direction', /turned round: 0 % became 100 %\. Check that 0 % is clear film/);
  await person.fill(labels.readings, [...invented].reverse().map((row) => row.join(' ')).join('\n'));
  await until('another order to be no matter', async () => !/turned round/.test((await person.note(labels.readings)).text));
  await held(31);
  assert.deepEqual(person.errors, []);
});
