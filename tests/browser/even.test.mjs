// Evening out the light on the film: a map is typed, films are made with and without it, and their ink is read back at
// the corners; how the print lies decides where it goes. And when a film is not evened, the page says why.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { serve, testSite, until } from './harness.mjs';
import { black, density } from './light-model.mjs';
import { labels as tone } from './tone-steps.mjs';
import { greyTiff, readTiff } from './walk-files.mjs';
import { hands } from './walk-hands.mjs';

const labels = {
  readings: 'Readings on a grid, a line a row, far left first, as the lamp sees the frame',
  even: 'Even out the light: more ink where the frame gets more',
  time: 'Time that gives black behind clear film (6:00, 6 min or 360; empty: not known yet)',
  distance: 'Distance from lamp to frame, mm',
  ppi: "Resolution the printer's driver takes, pixels an inch (240 to 1440)",
};

/** log₁₀ of the light over a frame of 300 × 400 mm: more to the right and to the near edge. */
const light = (x, y) => 0.2 * x + 0.12 * y;
const frame = [300, 400];
/** What ink holds back beyond clear film; what is read of it on a chart. */
const held = (code) => 2.5 * code - 0.3 * code * code;
const chart = Array.from({ length: 41 }, (_, i) => i / 40).map((c) => `${100 * c} ${density(black, held(c)).toFixed(3)}`);

const grid = [0, 1, 2, 3, 4].map((j) => [0, 1, 2, 3].map((i) => (10 ** light((i + 0.5) / 4, (j + 0.5) / 5)).toFixed(4)).join(' '));

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t, { viewport: { width: 1280, height: 900 } });
  await person.open(server.origin);
  await person.go('Light');
  await person.fill(labels.time, '6:00');
  await person.fill('Lamp', 'tube box');
  await person.choose('Tubes side by side');
  await person.fill(labels.distance, '80');
  await person.unfold('How even the frame is');
  await person.fill(labels.readings, grid.join('\n'));
  assert.equal(await person.offers('Take this map for films'), false, 'not before its size is known');
  await person.fill('Width of the frame, mm', String(frame[0]));
  await person.fill('Height of the frame, mm', String(frame[1]));
  await person.press('Take this map for films');
  await person.seen(/Films can be evened by the map of \d{4}-\d\d-\d\d, under tube box, tubes, 80 mm/);
  assert.equal(await person.offers('Take this map for films'), false, 'it is taken');
  await person.go('Negative');
  await person.give('Open a picture', { name: 'flat.tif', bytes: greyTiff(200, 250) });
  await person.seen(/flat\.tif: 200 × 250/);
  await person.fill('Width, mm', '100');
  await person.fill('Height, mm', '125');
  await person.fill(labels.ppi, '240');
  return person;
}

async function noted(person, label, pattern) {
  await until(String(pattern), async () => pattern.test((await person.note(label)).text)).catch(async () =>
    assert.fail(`${pattern} is not in ${(await person.note(label)).text}`),
  );
}

test('the film holds back more where the frame gets more, mirrored, and the time says so', async (t) => {
  const person = await begin(t);
  await person.go('Tone');
  await person.fill(tone.readings, chart.join('\n'));
  await person.seen(/middle grey within/);
  await person.go('Negative');
  const plain = readTiff((await person.take('Make the film file')).bytes);
  await person.seen(/Film 1: flat/);
  await person.go('Light');
  await person.seen(/Time on this ticket\s+6:00/);

  // Picture 100 × 125 mm in the middle of the frame. Its corners on the print, in the frame, by where its top points.
  const inset = (side, taken) => (side - taken) / 2 / side;
  const lies = {
    'the far edge': (u, v) => [u, v],
    'the near edge': (u, v) => [1 - u, 1 - v],
    'the right': (u, v) => [1 - v, u],
    'the left': (u, v) => [v, 1 - u],
  };
  for (const [top, turn] of Object.entries(lies)) {
    const taken = /edge/.test(top) ? [100, 125] : [125, 100];
    const lightAt = (u, v) => {
      const [x, y] = turn(u, v);
      const at = (part, k) => inset(frame[k], taken[k]) + (part * taken[k]) / frame[k];
      return light(at(x, 0), at(y, 1));
    };
    await person.go('Negative');
    await person.press('Make another film');
    await person.choose(labels.even);
    await person.go('Light');
    await person.unfold('How even the frame is');
    await person.choose('in the middle');
    await person.choose(top);
    await person.seen(/The film to be made evens the light/);
    await person.go('Negative');
    await person.seen(new RegExp(`Evened by the map of [\\s\\S]*its top to ${top}\\.`));
    const { bytes } = await person.take('Make the film file');
    const film = readTiff(bytes);
    assert.match(film.description, /Evened by the map of \d{4}-\d\d-\d\d, under tube box, tubes, 80 mm, for [\d.]+ mm from the left/);
    await person.seen(/Film \d: flat[\s\S]*Evened by the map of[\s\S]*Its filled corner goes far left/);

    const corners = [[0, 0], [1, 0], [1, 1], [0, 1]];
    const dimmest = Math.min(...corners.map(([u, v]) => lightAt(u, v)));
    const mm = (length) => Math.round((length / 25.4) * 240);
    const border = mm(6);
    const ink = (sheet, u, v) => {
      const x = border + Math.round(u * (mm(100) - 1));
      // The film is the print's mirror image; nothing changes places from top to bottom.
      return 1 - sheet.at(sheet.width - 1 - x, border + Math.round(v * (mm(125) - 1))) / 65535;
    };
    for (const [u, v] of [...corners, [0.5, 0.5]]) {
      const added = held(ink(film, u, v)) - held(ink(plain, u, v));
      const wanted = lightAt(u, v) - dimmest;
      t.diagnostic(`top to ${top}, ${u} ${v}: ${added.toFixed(4)} D of ${wanted.toFixed(4)}`);
      assert.ok(Math.abs(added - wanted) < 0.002 + 0.03 * wanted, `top to ${top}, ${u} ${v}: ${added} D, not ${wanted}`);
    }
    // The filled corner: that of the film which lies far left in the frame, ink side down; the file is its mirror image.
    for (const [u, v] of corners) {
      const at = (inside) => {
        const x = u ? film.width - 1 - inside : inside;
        return film.at(film.width - 1 - x, v ? film.height - 1 - inside : inside);
      };
      const [x, y] = turn(u, v);
      assert.equal(at(mm(1.5)), x === 0 && y === 0 ? 0 : 65535, `top to ${top}, corner ${u} ${v}`);
      assert.equal(at(mm(5)), 65535, `top to ${top}, corner ${u} ${v}, inside`);
    }
    assert.equal(plain.at(plain.width - 1 - mm(1.5), mm(1.5)), 65535, 'no such corner without the correction');
    // The margin strip below the picture is raw ink on both.
    const strip = border + mm(125) + mm(3) + mm(5);
    for (let x = 0; x < film.width; x++) assert.equal(film.at(x, strip), plain.at(x, strip));

    await person.go('Light');
    const [, minutes, seconds] = await person.seen(/Time on this ticket\s+(\d+):(\d\d)/);
    const meant = 360 * 10 ** (light(0.5, 0.5) - dimmest);
    assert.ok(Math.abs(60 * Number(minutes) + Number(seconds) - meant) <= 2, `${minutes}:${seconds}, not ${meant} s`);
    await person.seen(/This ticket's film evens the light by the map of/);
  }
  assert.deepEqual(person.errors, []);
});

test('a film is not evened under another lamp, beyond the map or without its curve, and the page says why', async (t) => {
  const person = await begin(t);
  await person.choose(labels.even);
  await noted(person, labels.even, /it needs the film's curve, what each ink code holds back\. At the tone station, enter readings/);
  await person.go('Tone');
  await person.fill(tone.readings, chart.join('\n'));
  await person.seen(/middle grey within/);
  await person.go('Negative');
  await person.seen(/Evened by the map of/);
  await noted(person, labels.even, /How steep your paper is was not measured/);
  await person.fill('Width, mm', '500');
  await person.fill('Height, mm', '625');
  await noted(person, labels.even, /the print is larger than the frame that was read, 300 × 400 mm/);
  await person.fill('Width, mm', '100');
  await person.fill('Height, mm', '125');
  await person.seen(/Evened by the map of/);
  await person.go('Light');
  await person.unfold('How even the frame is');
  await person.choose('elsewhere');
  await person.fill('From the left edge, mm', '250');
  await person.fill('From the far edge, mm', '0');
  await noted(person, 'From the left edge, mm', /reaches beyond the frame/);
  await person.go('Negative');
  await noted(person, labels.even, /it reaches beyond the frame that was read/);
  await person.go('Light');
  await person.choose('where the light is most even');
  await person.fill(labels.distance, '120');
  await person.seen(/The film to be made will not even the light/);
  await person.go('Negative');
  await noted(person, labels.even, /was read under tube box, tubes, 80 mm, and this ticket is printed under tube box, tubes, 120 mm/);
  const film = readTiff((await person.take('Make the film file')).bytes);
  assert.doesNotMatch(film.description, /Evened/);
  assert.deepEqual(person.errors, []);
});
