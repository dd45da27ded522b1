// The steps of a person at the tone station, and what its files are compared with.
import assert from 'node:assert/strict';
import { until } from './harness.mjs';
import { chart, codes, readTiff, stepPicture } from './walk-files.mjs';
import { fileValue, pixels, tone } from './walk-model.mjs';
import { greyScale, layout, saturating } from './tone-process.mjs';

export const labels = {
  readings: 'A line a patch: ink in %, then density or L*, then repeats if there are any',
  densities: "Densities of the grey scale's steps, from its first corner on",
  marks: 'Corners of the chart, x and y, four times (empty: they are searched)',
  scale: 'Corners of the grey scale, x and y, four times',
  numbers: 'Its numbers in that order, one a patch',
  width: 'Width of the coat, mm',
  height: 'Height of the coat, mm',
  name: 'Name of the chart, if its squares cannot be read (such as 41-777)',
};

/** The film of the usual chart, and the name that stands on it. */
export async function makeChart(person, [width, height] = layout.coat) {
  const { name, bytes } = await person.take('Make the chart film');
  const [, chartName] = name.match(/^tone-chart-(41-\d+)\.tif$/);
  const film = readTiff(bytes);
  assert.deepEqual([film.width, film.height, film.ppi], [pixels(width, 360), pixels(height, 360), 360]);
  assert.ok(film.description.includes(`tone-chart-${chartName}`), film.description);
  return { film, name: chartName };
}

/** Opens a scan; the text of the station when it was read. */
export async function openScan(person, name, bytes, { scale = false } = {}) {
  if (scale) {
    await person.choose('A grey scale');
    await person.fill(labels.densities, greyScale.densities.map((d) => d.toFixed(2)).join(' '));
  }
  await person.give('Open a scan or photo', { name, bytes });
  const escaped = name.replaceAll('.', '\\.');
  await person.seen(new RegExp(`${escaped}: \\d+ × \\d+ px[\\s\\S]*patches read`));
  return person.read();
}

/** Places the corners of the grey scale by four taps on the picture, and has it read again. */
export async function placeScale(person, picture) {
  await person.fill(labels.scale, '');
  await person.choose('the grey scale');
  await tap(person, picture, picture.scale);
  const placed = (await person.value(labels.scale)).split(/[ ;]+/).map(Number);
  const far = picture.scale.flat().map((at, i) => Math.abs(at - placed[i]));
  assert.ok(placed.length === 8 && Math.max(...far) <= 4, `tapped ${placed}, meant ${picture.scale}`);
  await person.press('Read it again');
}

/** Taps on places of the picture, given in pixels of its file. */
export async function tap(person, picture, places) {
  const shown = person.browser.page.getByRole('figure', { name: 'What was read, outlined' }).locator('canvas');
  await shown.scrollIntoViewIfNeeded();
  const { width, height } = await shown.boundingBox();
  for (const [x, y] of places) {
    await shown.click({ position: { x: (x * width) / picture.width, y: (y * height) / picture.height }, force: true });
  }
}

/** Takes the readings; pairs of ink in percent and L*. */
export async function takeReadings(person) {
  await person.press('Take these readings');
  const lines = await until('the readings of the scan', async () => {
    const text = await person.value(labels.readings);
    return text.startsWith('sheet,patch,ink %,L*') && text.trim().split('\n');
  });
  await person.seen(/The next print/);
  return lines.slice(1).map((line) => line.split(',').slice(-2).map(Number));
}

/** A ramp printed again through a correction whose aim is even L*: RMS and worst error. */
export function printedAgain(correction, process = saturating) {
  const [black, white] = [process(0), process(1)];
  const errors = Array.from({ length: 101 }, (_, i) => process(correction(i / 100)) - (black + (i / 100) * (white - black)));
  const rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);
  return { rms, worst: Math.max(...errors.map(Math.abs)) };
}

/** The table behind the charts: picture tone, ink, value in the film, print L*, half its interval. */
export async function tableOf(person) {
  await person.unfold('The table behind the charts');
  const rows = person.browser.page.getByRole('group', { name: 'The correction in steps' }).locator('tbody tr');
  return (await rows.evaluateAll((all) => all.map((row) => [...row.cells].map((cell) => cell.innerText)))).map((row) =>
    row.map((cell) => Number(cell.replace('± ', ''))),
  );
}

async function carry(person, { format, greys, inverted = false }) {
  await person.pick('As', format);
  await person.choose(inverted ? 'With the inversion in it, mirrored afterwards' : 'For the positive picture, inverted and mirrored afterwards');
  await person.pick('The greys of the picture are', greys);
}

/** Saves a device link: its bytes and curves. Name and description must hold both answers. */
export async function carriedLink(person, wish) {
  await carry(person, wish);
  const { name, bytes } = await person.take('Save the file');
  assert.match(name, wish.inverted ? /-link-(grey|rgb)-inverted-lstar\.icc$/ : /-link-(grey|rgb)-then-invert-lstar\.icc$/);
  return { name, bytes, curves: curvesOf(bytes) };
}

/**
 * The curves of a device link (ICC.1:2022: header 7.2, tag table 7.3, lutAToBType 10.12 with B curves only, curveType
 * 10.6). Throws if it is anything else.
 */
export function curvesOf(bytes) {
  const text = (at, n = 4) => bytes.toString('latin1', at, at + n);
  assert.equal(bytes.readUInt32BE(0), bytes.length, 'the size in the header');
  assert.deepEqual([text(12), text(36)], ['link', 'acsp']);
  assert.equal(text(16), text(20), 'the same space in and out');
  const channels = { 'GRAY': 1, 'RGB ': 3 }[text(16)];
  const tags = new Map();
  for (let i = 0; i < bytes.readUInt32BE(128); i++) tags.set(text(132 + 12 * i), bytes.readUInt32BE(136 + 12 * i));
  assert.deepEqual([...tags.keys()].sort(), ['A2B0', 'cprt', 'desc', 'pseq']);
  const at = tags.get('A2B0');
  assert.equal(text(at), 'mAB ');
  assert.deepEqual([bytes[at + 8], bytes[at + 9]], [channels, channels]);
  const [b, ...others] = [12, 16, 20, 24, 28].map((offset) => bytes.readUInt32BE(at + offset));
  assert.deepEqual(others, [0, 0, 0, 0], 'no matrix, table or other curves');
  const curves = [];
  for (let place = at + b; curves.length < channels; ) {
    assert.equal(text(place), 'curv');
    const count = bytes.readUInt32BE(place + 8);
    curves.push(Array.from({ length: count }, (_, i) => bytes.readUInt16BE(place + 12 + 2 * i)));
    place += Math.ceil((12 + 2 * count) / 4) * 4;
  }
  return curves;
}

/** The value of a curve at x, 0 to 1, straight between its entries. */
export function linkAt(curve, x) {
  const place = Math.min(1, Math.max(0, x)) * (curve.length - 1);
  const i = Math.min(curve.length - 2, Math.floor(place));
  return (curve[i] + (place - i) * (curve[i + 1] - curve[i])) / 65535;
}

/** Has points for a dialog that draws straight lines proposed, and saves them. */
export async function carriedPoints(person, { most, greys }) {
  await carry(person, { format: 'points for a curve dialog', greys });
  await person.fill('Points the dialog takes (3 to 40)', String(most));
  await person.choose('It draws straight lines between them');
  await person.press('Propose points');
  const worst = Number((await person.seen(/at most ([\d.]+) L\* off on the print/))[1]);
  const rows = person.browser.page.getByRole('group', { name: 'Points for a curve dialog' }).locator('tbody tr');
  const pairs = (await rows.allInnerTexts()).map((row) => row.split('\t').map(Number));
  assert.ok(pairs.length >= 3 && pairs.length <= most, `${pairs.length} points`);
  assert.deepEqual([pairs[0][0], pairs.at(-1)[0]], [0, 255]);
  const { name, bytes } = await person.take('Save the file');
  assert.match(name, /-points-then-invert-lstar\.csv$/);
  const saved = bytes.toString('utf8').trim().split('\r\n');
  assert.deepEqual(saved, ['point,in,out', ...pairs.map((pair, i) => [i + 1, ...pair].join(','))], 'the file holds the table');
  const at = (x) => {
    const i = Math.max(1, pairs.findIndex(([input]) => input >= 255 * x - 1e-9));
    const [[x0, y0], [x1, y1]] = [pairs[i - 1], pairs[i]];
    return (y0 + ((255 * x - x0) / (x1 - x0)) * (y1 - y0)) / 255;
  };
  return { pairs, worst, at };
}

/** Saves the table of all 8-bit greys; L* that it expects of an ink code. */
export async function carriedTable(person, { greys }) {
  await carry(person, { format: 'a table of all 8-bit greys, CSV', greys });
  const { name, bytes } = await person.take('Save the file');
  assert.match(name, /-table-then-invert-lstar\.csv$/);
  const [head, ...lines] = bytes.toString('utf8').trim().split('\r\n');
  assert.equal(head, 'grey in,grey in %,grey out,grey out %,ink %,print L*');
  const rows = lines.map((line) => line.split(',').slice(-2).map(Number));
  assert.equal(rows.length, 256);
  return (code) => {
    const found = rows.findIndex(([ink]) => ink >= 100 * code);
    const i = found < 0 ? 255 : Math.max(1, found);
    const [[c0, l0], [c1, l1]] = [rows[i - 1], rows[i]];
    return c1 > c0 ? l0 + (Math.min(1, Math.max(0, (100 * code - c0) / (c1 - c0)))) * (l1 - l0) : l1;
  };
}

/** A small picture of twenty greys, and its film against the correction. */
export const steps = {
  picture: () => ({ name: 'steps.png', bytes: stepPicture() }),
  /** Its tones, from dark to light. */
  tones: () => codes.map(tone).sort((a, b) => a - b),
  check(film, correction) {
    const [border, across, down] = [6, 100, 80].map((mm) => pixels(mm, film.ppi));
    codes.forEach((code, i) => {
      const x = border + Math.round((((i % chart.columns) + 0.5) * across) / chart.columns);
      const y = border + Math.round(((Math.floor(i / chart.columns) + 0.5) * down) / chart.rows);
      const [got, wanted] = [film.at(film.width - 1 - x, y), fileValue(correction(tone(code)))];
      assert.ok(Math.abs(got - wanted) <= 6, `grey ${code}: ${got} in the film, ${wanted} by the correction`);
    });
  },
};
