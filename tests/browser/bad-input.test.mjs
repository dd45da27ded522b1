// Wrong, damaged and impossible input: each gets a note that names the field or the file and the mend, nothing typed is
// lost, nothing breaks.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { test } from 'node:test';
import { photograph, serve, testSite, until } from './harness.mjs';
import { ready } from './chromium.mjs';
import { claimingPng, greyTiff, inkJpeg, inkTiff, stepPicture } from './walk-files.mjs';
import { hands } from './walk-hands.mjs';
import { exportBook, labels, objectsOf, typed } from './walk.mjs';
import { readings } from './walk-model.mjs';

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t);
  await person.open(server.origin);
  return { person, server };
}

test('pictures that cannot be opened', async (t) => {
  const { person } = await begin(t);
  const jpeg = await readFile(photograph);
  const png = stepPicture();
  const half = (bytes) => bytes.subarray(0, Math.floor(bytes.length / 2));
  const cases = [
    ['words.jpg', Buffer.from('Dear printer, this is no picture.\n'.repeat(20)), /not read here.*Export the picture as a 16-bit TIFF or PNG/s],
    ['empty.png', Buffer.alloc(0), /empty.*Export/s],
    ['half.jpg', half(jpeg), /JPEG.*damaged or cut off.*again/s],
    ['half.png', half(png), /PNG.*damaged or cut off.*again/s],
    ['half.tif', half(greyTiff(200, 200)), /TIFF.*damaged or cut off.*again/s],
    ['inks.tif', inkTiff(), /TIFF is in CMYK.*Export it as RGB or grey/s],
    ['inks.jpg', inkJpeg(), /JPEG is in CMYK.*Export it as RGB or grey/s],
    ['wide.png', claimingPng(200_000, 400), /200000 × 400 pixels.*at most 100000.*Export it smaller/s],
    ['huge.tif', greyTiff(90_000, 90_000, Buffer.alloc(64)), /90000 × 90000 pixels.*limit here is [\d.]+ (MB|GB|MiB|GiB).*Export/s],
  ];

  await person.go('Negative');
  await person.give('Open a picture', { name: 'steps.png', bytes: png });
  await person.seen(/steps\.png: 400 × 320 px/);
  await person.fill('Title', 'Net loft window');
  await person.fill('Width, mm', '8 1/2 in');
  for (const [name, bytes, pattern] of cases) {
    await person.give('Open a picture', { name, bytes });
    const [words] = await person.noticed(pattern).catch((error) => assert.fail(`${name}: ${error.message}`));
    assert.ok((await person.notices()).includes(name), `${name} is named: ${words}`);
    assert.equal(await person.value('Title'), 'Net loft window', name);
    assert.equal(await person.value('Width, mm'), '8 1/2 in', name);
    assert.match(await person.read(), /steps\.png: 400 × 320 px/, `after ${name} the picture is still in hand`);
  }
  const film = await person.take('Make the film file');
  assert.match(film.name, /^film-1-net-loft-window\.tif$/);

  // A film that is not what would be made now is told so.
  assert.doesNotMatch(await person.read(), /Film 1 (was made|carries)/);
  await person.fill('Width, mm', '100');
  await person.seen(/Film 1 was made for [\d.]+ mm × [\d.]+ mm, not for the size asked for now\. Make the film file again/);
  await person.fill('Width, mm', '8 1/2 in');
  await until('the note to go', async () => !/Film 1 was made/.test(await person.read()));
  await person.go('Tone');
  await person.fill(labels.readings, typed);
  await person.go('Negative');
  await person.seen(/Film 1 carries correction 1, and the setup has correction 2\./);
  await person.go('Book');
  await person.seen(/[1-9]\d* changes so far/);
  assert.deepEqual(person.errors, []);
});

test('sizes and numbers that make no sense', async (t) => {
  const { person } = await begin(t);
  await person.go('Negative');
  await person.fill('Title', 'Lamp on the mole');
  for (const [size, pattern] of [
    ['0', /The width is 0 mm\. Type a length from/],
    ['-120', /The width is −120 mm\. Type a length from/],
    ['two hands', /The width is not a number\. Type digits/],
    ['', /The width is empty\. Type a number/],
    ['1e999', /The width is not a number\. Type digits/],
    ['1,234.5', /The width has both a comma and a point\. Leave out/],
  ]) {
    await person.fill('Width, mm', size);
    await until(`a note on ${size || 'nothing'}`, async () => {
      const note = await person.note('Width, mm');
      return note.invalid && pattern.test(note.text);
    }).catch(async () => assert.fail(`“${size}”: ${JSON.stringify(await person.note('Width, mm'))}`));
    assert.equal(await person.value('Width, mm'), size);
    assert.equal(await person.value('Height, mm'), '254');
    assert.equal(await person.value('Title'), 'Lamp on the mole');
    assert.equal(await person.offers('Make the film file'), false);
  }
  await person.fill('Width, mm', '190');
  await until('the note to go', async () => !(await person.note('Width, mm')).invalid);

  // One odd field withholds only what depends on it.
  await person.go('Coat');
  await person.fill(labels.coverage, '4o');
  await until('a note on the coverage', async () => (await person.note(labels.coverage)).invalid);
  assert.match((await person.note(labels.coverage)).text, /not a number|unit/);
  assert.match(await person.read(), /Coated: \d+ × \d+ mm/);
  assert.match(await person.read(), /No amounts for the cup yet\. Mend the fields with a note first\./);
  await person.go('Light');
  await person.fill(labels.time, 'soon');
  await until('a note on the time', async () => (await person.note(labels.time)).invalid);
  await person.go('Coat');
  assert.equal(await person.value(labels.coverage), '4o');
  assert.deepEqual(person.errors, []);
});

test('readings that give no curve', async (t) => {
  const { person } = await begin(t);
  await person.go('Tone');
  const lines = (rows) => rows.map((row) => row.join(' ')).join('\n');
  const upside = lines(readings.map(([ink], i) => [ink, readings.at(-1 - i)[1]]));
  const cases = [
    ['the same density everywhere', lines(readings.map(([ink]) => [ink, 0.7])), /neither rise nor fall with the ink code\. Check/],
    ['in no order', lines(readings.map(([ink], i) => [ink, readings[(i * 17) % 31][1]])), /neither rise nor fall with the ink code\. Check/],
    ['four inks', '0 1.45\n30 0.7\n60 0.2\n100 0.08', /4 different ink codes; a curve needs 5\. Read more patches/],
    ['upside down', upside, /turned round/],
    ['letters', typed.replace('0.97', 'O.97'), /[Ll]ine 7/],
    ['words only', 'to be read\ntomorrow', /Line 1: “to be read” holds no number\. Type a line a patch.*“tomorrow” is not a number\. Type digits/s],
    ['a word', 'hello', /Line 1: “hello” holds no number\. Type a line a patch: ink in %, then density or L\*/],
    ['below nothing', typed.replace('0.97', '-0.97'), /[Ll]ine 7/],
  ];
  for (const [what, text, pattern] of cases) {
    await person.fill(labels.readings, text);
    await until(what, async () => pattern.test((await person.note(labels.readings)).text)).catch(async () =>
      assert.fail(`${what}: ${pattern} is not in ${(await person.note(labels.readings)).text}`),
    );
    assert.equal(await person.value(labels.readings), text, what);
  }
  // With one bad line the other thirty still make the curve.
  await person.fill(labels.readings, typed.replace('0.97', 'O.97'));
  await person.seen(/middle grey within\s+± [\d.]+ L\*/);
  await person.go('Negative');
  await person.seen(/from 30 readings/);
  assert.deepEqual(person.errors, []);
});

test('book files that cannot be opened', async (t) => {
  const { person } = await begin(t);
  await person.go('Tone');
  await person.fill(labels.readings, typed);
  await person.go('Negative');
  await person.fill('Title', 'Chain and bollard');
  const before = await exportBook(person);
  const text = JSON.stringify(before);
  const cases = [
    ['newer.json', text.replace('"schema":1', '"schema":99'), /version 99; this page reads up to version \d+\. Bring Sorrel up to date/],
    ['cut.json', text.slice(0, Math.floor(text.length / 2)), /cut off or damaged[\s\S]*Copy it again/],
    ['letter.json', 'Dear printer', /not a Sorrel book[\s\S]*Choose the file/],
    ['nothing.json', '', /empty[\s\S]*Copy it again/],
    ['other.json', '{"a": [1, 2, 3]}', /not a Sorrel book[\s\S]*Choose the file/],
    ['deep.json', '['.repeat(100_000), /not a Sorrel book|cut off|damaged/],
    ['hollow.json', '{"format":"sorrel-book","schema":1,"objects":[{"key":"setup/x","rev":1,"object":7}]}', /holds nothing that can be read/],
  ];
  for (const [name, content, pattern] of cases) {
    await person.give('Open a book file', { name, bytes: Buffer.from(content) });
    await person.seen(pattern).catch((error) => assert.fail(`${name}: ${error.message}`));
    assert.equal(await person.offers('Replace this book by it'), false, name);
    await person.press('Close');
  }
  assert.deepEqual(objectsOf(await exportBook(person)), objectsOf(before));
  assert.deepEqual(person.errors, []);
});

test('a full disk: it is said, work goes on, the book can be saved, and nothing is lost when there is room again', async (t) => {
  const { person, server } = await begin(t);
  await person.go('Negative');
  await person.fill('Title', 'before');
  await person.browser.page.waitForTimeout(500);
  // A browser remembers for half a minute that there was room; started anew it asks again.
  await person.browser.reopen();
  const { cdp, page } = person.browser;
  await person.open(server.origin);
  await person.go('Negative');
  assert.equal(await person.value('Title'), 'before');
  await cdp.send('Storage.overrideQuotaForOrigin', { origin: server.origin, quotaSize: 1 });
  await person.fill('Title', 'Breakwater in fog');
  await person.noticed(/no room left[\s\S]*save the book as a file/i);
  await person.fill('Width, mm', '180');
  await person.seen(/180 × /);
  assert.equal(await person.value('Title'), 'Breakwater in fog');
  const { bytes } = await person.take('Save the book as a file');
  assert.ok(bytes.toString('utf8').includes('Breakwater in fog'), 'the file holds what was typed');

  await cdp.send('Storage.overrideQuotaForOrigin', { origin: server.origin });
  await person.fill('Width, mm', '181');
  await until('the notice to go', async () => !/no room left/.test(await person.notices()));
  await page.reload();
  await ready(page);
  assert.equal(await person.value('Title'), 'Breakwater in fog');
  assert.equal(await person.value('Width, mm'), '181');
});
