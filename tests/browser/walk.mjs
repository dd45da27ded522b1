// The whole job, step by step, as a person does it: from a photograph and 31 readings to a record that another device
// opens. Every step checks what it got against something computed here.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { photograph, root } from './harness.mjs';
import { chart, codes, readPng, readTiff, stepPicture } from './walk-files.mjs';
import { person as personAt } from './walk-driver.mjs';
import { badPatch, fileValue, lightness, modelLightness, pixels, spoiled, tone } from './walk-model.mjs';

/** A winter morning in the workroom. */
const morning = Date.UTC(2026, 0, 18, 9, 0, 0);
const minute = 60_000;

export const labels = {
  readings: 'A line a patch: ink in %, then density or L*, then repeats if there are any',
  coverage: 'Your own coverage as poured, mL/m² (5 to 300; empty: the starting value)',
  margin: 'Coated beyond it, each side, mm (5 to 10 mm, 1/4 to 3/8 in, are common)',
  ppi: "Resolution the printer's driver takes, pixels an inch (240 to 1440)",
  time: 'Time that gives black behind clear film (6:00, 6 min or 360; empty: not known yet)',
};

const print = { width: 100, height: 80, ppi: 360, border: 6 };
const bytesOf = (text) => Buffer.from(text, 'utf8');

/** The readings as a printer types them, and as a program exports them: other decimals, other separators, a heading. */
export const typed = spoiled.map((row) => row.join(' ')).join('\n');
export const table = ['Patch;Ink %;Density', ...spoiled.map(([ink, d], i) => `${i};${ink};${d}`.replaceAll('.', ','))].join(
  '\r\n',
);

/** The correction of those readings at picture tones, by the native program `correction`; without any, the starting one. */
function correctionApart(text, tones) {
  const aim = text ? 'linear-lightness' : 'as-on-screen';
  const run = spawnSync('cargo', ['run', '--quiet', '--package', 'sorrel-core', '--example', 'correction', '--', aim, ...tones.map(String)], {
    cwd: root,
    input: text,
    encoding: 'utf8',
  });
  assert.equal(run.status, 0, run.stderr);
  return run.stdout.trim().split('\n').map((line) => Number(line.split(' ')[1]));
}

/** Readings in, correction out: typed, and again from a file. */
export async function calibrate(person) {
  await person.go('Tone');
  await person.seen(/not measured, mid tones ± 15 L\*/);
  await person.choose('L* rises evenly, for checking');
  await person.fill(labels.readings, typed);
  const answered = async () => {
    await person.seen(/middle grey within\s+± [\d.]+ L\*/);
    await person.unfold('The table behind the charts');
    return (await person.read()).split('L* rises evenly')[1];
  };
  const once = await answered();
  const ink = String(spoiled[badPatch.index][0]).replace('.', '\\.');
  assert.match(once, new RegExp(`Readings to look at again\\s+Reading ${badPatch.index + 1} \\(${ink}\\s% ink\\): [\\d.]+ L\\* darker`));
  assert.equal(once.match(/Reading \d+ \(/g).length, 1, 'only the bad patch is listed');

  await person.press('Clear the readings');
  await person.seen(/not measured, mid tones ± 15 L\*/);
  await person.give('Take them from a CSV or text file', { name: 'sheet 1.csv', bytes: bytesOf(table) });
  const again = await answered();
  const figures = (text) => text.match(/Black[\s\S]*?White[^\n]*\n[^\n]*/)[0];
  assert.equal(figures(again), figures(once), 'the file says the same as the typed readings');
  await person.fill(labels.readings, typed);
  await answered();
}

/** The correction makes sense: by the model behind the readings the print rises evenly in L*. */
export function judge(text) {
  const tones = Array.from({ length: 21 }, (_, i) => i / 20);
  const inks = correctionApart(text, tones);
  const [black, white] = [modelLightness(0), modelLightness(1)];
  tones.forEach((u, i) => {
    const [got, aim] = [modelLightness(inks[i]), black + u * (white - black)];
    assert.ok(Math.abs(got - aim) <= 2, `picture tone ${u}: print L* ${got.toFixed(1)}, wanted ${aim.toFixed(1)}`);
  });
}

/** A film of a picture on the ticket in hand; returns the saved file. */
export async function makeFilm(person, { picture, title, format = 'TIFF, 16 bit' }) {
  await person.go('Negative');
  await person.give('Open a picture', picture);
  const name = typeof picture === 'string' ? picture.split('/').at(-1) : picture.name;
  await person.seen(new RegExp(`${name.replaceAll('.', '\\.')}: \\d+ × \\d+ px`));
  await person.fill('Title', title);
  await person.fill('Width, mm', String(print.width));
  await person.fill('Height, mm', String(print.height));
  await person.choose(format);
  const file = await person.take('Make the film file');
  await person.seen(/The film of this ticket\s+Film \d+: /);
  return file;
}

/** Where a film's parts lie as seen on the print, by the rules of the negative station. */
function places({ width, height }) {
  const [border, across, down] = [pixels(print.border, print.ppi), pixels(width, print.ppi), pixels(height, print.ppi)];
  return { border, across, down, film: across + 2 * border, strip: border + down + pixels(3 + 5, print.ppi) };
}

/** The film of the grey steps, pixel by pixel. `text`: the readings behind it, empty for none. */
export function checkSteps(film, text) {
  const place = places(print);
  assert.equal(film.width, place.film);
  assert.ok(Math.abs(film.ppi - print.ppi) < 0.01, `resolution ${film.ppi}`);
  const onPrint = (x, y) => film.at(film.width - 1 - x, y);
  const wanted = correctionApart(text, codes.map(tone)).map(fileValue);
  const far = [];
  codes.forEach((code, i) => {
    const [column, row] = [i % chart.columns, Math.floor(i / chart.columns)];
    const x = place.border + Math.round(((column + 0.5) * place.across) / chart.columns);
    const y = place.border + Math.round(((row + 0.5) * place.down) / chart.rows);
    for (const [dx, dy] of [[0, 0], [-60, -60], [60, -60], [-60, 60], [60, 60]]) {
      const got = onPrint(x + dx, y + dy);
      if (Math.abs(got - wanted[i]) > 2) far.push(`code ${code}: ${got}, not ${wanted[i]}`);
    }
  });
  assert.deepEqual(far, []);
  // Polarity: black is clear film, white full ink, but for codes at the very ends that print no tone of their own.
  const end = text ? 0.05 * 65535 : 0;
  const [black, white] = [wanted[codes.indexOf(0)], wanted[codes.indexOf(255)]];
  assert.ok(black >= 65535 - end && white <= end, `picture black is ${black}, white ${white}`);

  // Raw ink of the margin strip, from left to right on the print, between clear borders.
  const runs = [];
  for (let x = 0; x < film.width; x++) {
    const value = onPrint(x, place.strip);
    if (value !== runs.at(-1)) runs.push(value);
  }
  assert.deepEqual(runs, [...[0, 10, 20, 35, 50, 70, 100].map((percent) => fileValue(percent / 100)), 65535]);
}

/** Two files of the same film show the same, label apart. */
function checkAlike(one, other) {
  assert.deepEqual([one.width, one.height], [other.width, other.height]);
  const rows = places(print).strip;
  for (let y = 0; y <= rows; y++) {
    for (let x = 0; x < one.width; x++) {
      if (one.at(x, y) !== other.at(x, y)) assert.fail(`(${x}, ${y}): ${one.at(x, y)} and ${other.at(x, y)}`);
    }
  }
}

/** The film of the photograph against the photograph as the browser itself decodes it. */
async function checkPhotograph(person, film, text) {
  const picture = await person.decode(photograph);
  const scale = Math.min(print.width / picture.width, print.height / picture.height);
  const place = places({ width: picture.width * scale, height: picture.height * scale });
  assert.equal(film.width, place.film);
  const steps = 1024;
  const inks = correctionApart(text, Array.from({ length: steps + 1 }, (_, i) => i / steps));
  const ofY = (y) => inks[Math.round((lightness(y / 65535) / 100) * steps)];
  const blocks = [16, 12];
  const mean = (size, ink) => {
    const sums = Array.from({ length: blocks[0] * blocks[1] }, () => [0, 0]);
    for (let y = 0; y < size[1]; y++) {
      for (let x = 0; x < size[0]; x++) {
        const sum = sums[Math.floor((y * blocks[1]) / size[1]) * blocks[0] + Math.floor((x * blocks[0]) / size[0])];
        sum[0] += ink(x, y);
        sum[1]++;
      }
    }
    return sums.map(([sum, n]) => sum / n);
  };
  const wanted = mean([picture.width, picture.height], (x, y) => ofY(picture.luminance[y * picture.width + x]));
  const got = mean([place.across, place.down], (x, y) => 1 - film.at(film.width - 1 - place.border - x, place.border + y) / 65535);
  const spread = Math.max(...wanted) - Math.min(...wanted);
  assert.ok(spread > 0.3, `the photograph has light and dark parts (${spread})`);
  const off = Math.sqrt(wanted.reduce((sum, ink, i) => sum + (ink - got[i]) ** 2, 0) / wanted.length);
  const mirrored = Math.sqrt(
    wanted.reduce((sum, ink, i) => sum + (ink - got[i - 2 * (i % blocks[0]) + blocks[0] - 1]) ** 2, 0) / wanted.length,
  );
  assert.ok(off < 0.02, `ink of blocks is off by ${off}`);
  assert.ok(mirrored > 4 * off, `the film is mirrored: ${off} one way, ${mirrored} the other`);
}

/** Volumes for the picture, against area × coverage. */
export async function mix(person) {
  await person.go('Coat');
  await person.fill(labels.coverage, '46,5');
  await person.fill(labels.margin, '6');
  const text = await person.read();
  const [, width, height, area] = text.match(/Coated: ([\d.]+) × ([\d.]+) mm, ([\d.]+) cm²/).map(Number);
  const volume = Number(text.match(/for a sheet\s+([\d.]+) mL/)[1]);
  const parts = [...text.matchAll(/(iron\(III\) oxalate|palladium)\s+[\d.]+\s%\s+([\d.]+) mL\s+(\d+) drops/g)];
  return { width, height, area, volume, parts: parts.map(([, name, ml, drops]) => ({ name, ml: Number(ml), drops: Number(drops) })) };
}

export function checkMix({ width, height, area, volume, parts }, picture) {
  const wide = picture.width + 2 * 6;
  // The margin strip takes 13 mm below the picture: 3 mm of gap, 10 mm of patches.
  const high = picture.height + 13 + 2 * 6;
  assert.ok(Math.abs(width - wide) <= 0.5 && Math.abs(height - high) <= 0.5, `coated ${width} × ${height}, not ${wide} × ${high}`);
  assert.ok(Math.abs(area - (wide * high) / 100) <= 0.5, `${area} cm²`);
  const poured = ((wide * high) / 1e6) * 46.5;
  assert.ok(Math.abs(volume - poured) <= 0.006, `${volume} mL, not ${poured}`);
  assert.deepEqual(parts.map(({ name }) => name), ['iron(III) oxalate', 'palladium']);
  const sum = parts.reduce((total, { ml }) => total + ml, 0);
  assert.ok(Math.abs(sum - poured) <= 0.011, `parts of ${sum} mL`);
  // 20 drops to a millilitre (USP's standard dropper).
  for (const { ml, drops } of parts) assert.ok(Math.abs(drops - 20 * ml) <= 0.7, `${ml} mL as ${drops} drops`);
}

/** The setup's time, on the ticket. */
export async function light(person, time = '6:00') {
  await person.go('Light');
  await person.fill(labels.time, time);
  await person.seen(new RegExp(`Time on this ticket\\s+${time}`));
  await person.press('Keep them in the setup');
}

/** One lane from the lamp to the last wash on a clock that is moved; then what came out is written down. */
export async function printAndRecord(person, record) {
  await person.go('Baths');
  const [, total] = await person.seen(/From the first pour to the end\s+([\d:]+)/);
  await person.go('Workroom');
  await person.seen(/Ready to start/);
  await person.press('Start');
  await person.seen(/Light is on\s+6:00/);
  await person.pass(1.5 * minute);
  await person.seen(/Light is on\s+4:30/);
  await person.pass(4.5 * minute);
  await person.seen(/Time is up/);
  await person.press('The lamp is off');
  await person.seen(/Waits for you/);
  // From the frame to the tray.
  await person.pass(20_000);
  await person.press('Start the next step');
  // Developer, acid, twice EDTA, wash: minutes of the starting sequence.
  const baths = [2, 5, 5, 5, 30];
  assert.equal(total.split(':')[0], String(baths.reduce((a, b) => a + b)), `baths take ${total}`);
  for (const [i, minutes] of baths.entries()) {
    await person.seen(new RegExp(`Running\\s+${minutes}:00`));
    await person.pass(minutes * minute);
    await person.seen(/Time is up/);
    await person.press(i + 1 < baths.length ? 'Next step' : 'End the last step');
  }
  await person.seen(/What came out/);
  await person.choose(record.rating);
  await person.choose(record.fault);
  await person.fill('Remarks', record.remarks);
  await person.unfold('Margin strip, density of the dry print by ink');
  for (const [label, density] of record.strip) await person.fill(label, density);
  await person.press('Write the record');
  await person.seen(/P-001 is written/);
}

export const outcome = {
  rating: '4',
  fault: 'Streaks of the coating',
  remarks: 'Slipway: a streak in the upper left, “blacks” as wanted; 2nd sheet → thinner brush.',
  strip: [
    ['Clear film', '1,45'], ['10 % ink', '1,30'], ['20 % ink', '0,99'], ['35 % ink', '0,54'], ['50 % ink', '0,29'],
    ['70 % ink', '0,14'], ['Full ink', '0,08'],
  ],
};

/** The book as a file. */
export async function exportBook(person) {
  await person.go('Book');
  const { name, bytes } = await person.take('Save the book as a file');
  assert.match(name, /^sorrel-book-\d{4}-\d\d-\d\d( ?\(\d+\))?\.json$/);
  return JSON.parse(bytes.toString('utf8'));
}

/** Objects of a book file by key, without what only counts their changes, and without when each device last saved one. */
export function objectsOf(book) {
  const objects = structuredClone(book.objects).map(({ key, object }) => [key, object]);
  for (const [key, object] of objects) if (key.startsWith('desk/')) delete object.desk.exported;
  return Object.fromEntries(objects);
}

/** The one object of a kind. */
function only(book, kind) {
  const found = book.objects.filter(({ key }) => key.startsWith(`${kind}/`));
  assert.equal(found.length, 1, `${found.length} of ${kind}`);
  return JSON.stringify(found[0].object);
}

/**
 * The main job. `person` begins with an empty book; `other` and `friend` are two more devices. `loaded` is called when
 * all three have the page.
 */
export async function mainJob(person, other, friend, origin, loaded = async () => {}) {
  for (const who of [person, other, friend]) {
    await who.open(origin);
    await who.keep();
  }
  await loaded();
  await person.clock(morning);

  await calibrate(person);
  judge(typed);

  const steps = { name: 'steps.png', bytes: stepPicture() };
  const first = await makeFilm(person, { picture: steps, title: 'Grey steps' });
  assert.match(first.name, /^film-1-grey-steps\.tif$/);
  const tiff = readTiff(first.bytes);
  checkSteps(tiff, typed);
  assert.match(tiff.description, /31 readings/);
  const second = await makeFilm(person, { picture: steps, title: 'Grey steps', format: 'PNG, 16 bit, smaller' });
  const png = readPng(second.bytes);
  checkSteps(png, typed);
  checkAlike(png, tiff);

  await person.go('Book');
  await person.press('New ticket with the same setup');
  await person.seen(/Open a picture first/);
  const third = await makeFilm(person, { picture: photograph, title: 'Slipway, low water' });
  assert.match(third.name, /^film-3-slipway-low-water\.tif$/);
  const film = readTiff(third.bytes);
  await checkPhotograph(person, film, typed);

  const place = places({ width: 0, height: 0 });
  const mixed = await mix(person);
  const picture = { width: ((film.width - 2 * place.border) / print.ppi) * 25.4, height: await printedHeight(person) };
  checkMix(mixed, picture);
  await light(person);
  await printAndRecord(person, outcome);

  const book = await exportBook(person);
  const record = only(book, 'record');
  for (const words of [outcome.remarks, '0,99', '"rating":"4"', 'streaks of the coating', '"film":3']) {
    assert.ok(record.includes(words), `the record says ${words}: ${record}`);
  }

  await other.go('Book');
  await other.give('Open a book file', { name: 'sorrel-book.json', bytes: bytesOf(JSON.stringify(book)) });
  await other.seen(/Nothing has changed yet/);
  await other.press('Replace this book by it');
  await other.seen(/2 tickets, 1 setup, 3 films, 1 record/);
  assert.deepEqual(objectsOf(await exportBook(other)), objectsOf(book));

  await share(person, friend);
}

/** Height of the picture on the print, in mm, as the negative station says. */
async function printedHeight(person) {
  await person.go('Negative');
  return Number((await person.seen(/\n[\d.]+ × ([\d.]+) mm/))[1]);
}

/** The setup goes to a friend by its link, and becomes a setup beside their own. */
export async function share(person, friend) {
  await person.go('Book');
  await person.choose('Show its link and QR code');
  const [link] = await person.seen(/https?:\/\/\S+#v=1\S*/);
  assert.ok(link.length <= 400, `the link has ${link.length} characters`);

  await light(friend, '5:00');
  const before = objectsOf(await exportBook(friend));
  await friend.follow(link);
  await friend.seen(/starting point, not measured in your room/i);
  await friend.press('Use it as a new setup');
  await friend.go('Book');
  const after = objectsOf(await exportBook(friend));
  const setups = (book) => Object.keys(book).filter((key) => key.startsWith('setup/'));
  const [own] = setups(before);
  assert.deepEqual(after[own], before[own], "the friend's own setup is as it was");
  const [fresh] = setups(after).filter((key) => key !== own);
  assert.ok(fresh, 'there is a new setup');
  assert.ok(!JSON.stringify(after[fresh]).includes('6:00'), 'the exposure time does not travel');

  await friend.press('New ticket', { beside: /starting point|from a link/i });
  await friend.seen(/Open a picture first/);
  await friend.go('Light');
  assert.equal(await friend.value(labels.time), '');
  await friend.go('Tone');
  await friend.seen(/middle grey within\s+± [\d.]+ L\*/);
}

/** From an empty book without readings to a film that says what it rests on. */
export async function unmeasuredFilm(person, origin) {
  await person.open(origin);
  await person.clock(morning);
  await person.go('Negative');
  const steps = { name: 'steps.png', bytes: stepPicture() };
  const file = await makeFilm(person, { picture: steps, title: 'First try' });
  await person.seen(/Not measured, mid tones ± 15 L\*/);
  await person.seen(/The film of this ticket\s+Film 1: First try, correction 1, not measured/);
  const film = readTiff(file.bytes);
  assert.match(film.description, /NOT MEASURED/);
  checkSteps(film, '');
  const book = await exportBook(person);
  assert.ok(only(book, 'film').includes('"measured":false'));
}

/** The main job in any engine, the friend's and the other device's browser included. */
export async function walk(driver, server, t) {
  const another = async () => personAt(t, await driver.constructor.launch(t));
  await mainJob(await personAt(t, driver), await another(), await another(), server.origin);
}
