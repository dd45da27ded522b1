// The light station: a step print by scan and by eye, the time strip, lamps and a meter under clouds, and the card.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { save, serve, testSite, until } from './harness.mjs';
import { black, density, film, layout, readings, seconds, seenAlike, stepPrint } from './light-model.mjs';
import { blankSheet, greyScale, greyTiff16, scan } from './tone-process.mjs';
import { hands } from './walk-hands.mjs';

export const labels = {
  time: 'Time that gives black behind clear film (6:00, 6 min or 360; empty: not known yet)',
  print: 'Time of the step print (10:00, 10 min or 600)',
  steps: 'A number a step from the clear end on, densities or L*',
  masked: 'Masked spots: coated, taped, developed, cleared',
  eye: 'Last step that prints as black as its clearer neighbour (number)',
  marks: 'Corners of the steps, x y in pixels',
  scale: 'Corners of the grey scale, x y in pixels',
  distance: 'Distance from lamp to frame, mm',
};

async function begin(t, options) {
  const server = await serve(t, testSite);
  const person = await hands(t, options);
  await person.open(server.origin);
  await person.go('Light');
  return person;
}

/** Time for black as shown: value and both ends, in seconds. */
async function timeForBlack(person, basis) {
  const [, ...all] = await person.seen(new RegExp(`Time for black behind clear film\\s+([\\d:]+)\\s+[\\d.]+ s,\\s+95\\s%: ([\\d:]+) to ([\\d:]+), ${basis}`));
  return all.map(seconds);
}

const corners = (places) => places.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('; ');

test('a scanned step print tells the time for black; eyes tell it less narrowly', async (t) => {
  const person = await begin(t, { viewport: { width: 1280, height: 900 } });
  const time = 900;
  await person.fill(labels.print, '15:00');
  await person.fill(labels.masked, '0.071 0.068 0.072 0.069');

  // 1.2 % of stray light, a lamp that falls off by 6 %.
  const faults = { on: layout, shading: 0.06, flare: 0.012 };
  const picture = scan(stepPrint(time), faults);
  await person.unfold('Read them from a scan');
  await person.choose('A grey scale');
  await person.fill("Densities of the grey scale's steps, from its first corner on", greyScale.densities.map((d) => d.toFixed(2)).join(' '));
  await person.choose('gamma 2.2');
  await person.give("Take the scanner's shading from a blank scan", { name: 'blank.tif', bytes: greyTiff16(blankSheet(picture, { shading: 0.06 })) });
  await person.seen(/A blank scan is used/);
  await person.give('Open a scan', { name: 'step print.tif', bytes: greyTiff16(picture) });
  await person.seen(/step print\.tif: \d+ × \d+ px/);
  await person.fill(labels.marks, corners(picture.marks));
  await person.fill(labels.scale, corners(picture.scale));
  await person.press('Read it');
  await person.seen(/21 steps read\. L\* by the grey scale in the picture/);
  await person.press('Take these readings');
  const [value, low, high] = await timeForBlack(person, 'from 21 steps');
  t.diagnostic(`scan: ${value} s, ${low} to ${high} s; true ${black} s`);
  assert.ok(low <= black && black <= high, `${low} to ${high}`);
  assert.ok(Math.abs(value / black - 1) < 0.12, `${value}`);
  const [, range] = await person.seen(/Working range, black to white\s+([\d.]+) ± [\d.]+/);
  assert.ok(Math.abs(Number(range) - 2.25) < 0.2, range);
  await person.press('Take it as the time of this ticket');
  await person.seen(new RegExp(`Basis: your step print, measured by you \\(21\\)`));

  await person.choose('By eye');
  await person.fill(labels.eye, String(seenAlike(time)));
  const [eye, least, most] = await timeForBlack(person, 'by eye');
  t.diagnostic(`eyes: ${eye} s, ${least} to ${most} s`);
  assert.ok(least <= black && black <= most, `${least} to ${most}`);
  assert.ok(most / least > high / low, 'eyes are less sure than a scan');
  await person.seen(/The darker would take/);
  assert.deepEqual(person.errors, []);
});

test('readings are typed, their faults named, and what is tried is shown', async (t) => {
  const person = await begin(t, { viewport: { width: 1280, height: 900 } });
  const all = readings(900);
  const column = (list) => list.map((d) => d.toFixed(2)).join(' ');
  await person.fill(labels.print, '900 s');
  await person.fill(labels.steps, column(all));
  const [, low, high] = await timeForBlack(person, 'from 21 steps');
  assert.ok(low <= black && black <= high, `${low} to ${high}`);

  const noted = async (label, pattern) => {
    await until(String(pattern), async () => pattern.test((await person.note(label)).text)).catch(async () =>
      assert.fail(`${pattern} is not in ${(await person.note(label)).text}`),
    );
  };
  const reversed = column([...all].reverse());
  await person.fill(labels.steps, reversed);
  await noted(labels.steps, /the steps are reversed\. Type them from the clear end/);
  assert.equal(await person.value(labels.steps), reversed);
  await person.fill(labels.steps, column(readings(60)));
  await noted(labels.print, /Black was not reached[\s\S]*Print the tablet again at \d+:\d\d/);
  await person.fill(labels.steps, column(all).replace('0.', 'O.'));
  await noted(labels.steps, /“O\.\d+” is not a number\. Type one number a step/);
  await person.fill(labels.steps, column(all));
  await person.unfold('The tablet');
  await person.fill('Or the density of each, as measured', '0.05 0.2 0.1 0.4 0.5 0.6 0.7 0.8');
  await noted('Or the density of each, as measured', /at least seven numbers that rise/);
  await person.fill('Or the density of each, as measured', '');

  // Another paper than that of the setup's tone chart.
  await person.go('Tone');
  const ink = [0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100].map((c) => `${c} ${(1.15 - 0.95 * (c / 100) ** 0.5).toFixed(2)}`);
  await person.fill('A line a patch: ink in %, then density or L*, then repeats if there are any', ink.join('\n'));
  await person.seen(/middle grey within/);
  await person.go('Light');
  await noted(labels.steps, /are not those of this setup's tone chart[\s\S]*keep it in a setup of its own/);
  assert.equal(await person.value(labels.steps), column(all));
  assert.deepEqual(person.errors, []);
});

test('the time strip does without a tablet, and tells what clear film holds back', async (t) => {
  const person = await begin(t);
  await person.press('Doubling: 1, 2, 4, 8, 16 min');
  const strips = [60, 120, 240, 480, 960];
  // The first strip as black as the next, to an ordinary eye.
  const alike = (behind) => strips.findIndex((s, i) => density(2 * s, behind) - density(s, behind) < 0.02 && i < 4) + 1;
  const [covered, bare] = [alike(0), alike(-film)];
  await person.fill('After the print is dry: the first strip as black as the next, behind clear film (number)', String(covered));
  const [, value, low, high] = await person.seen(/([\d:]+) gives black behind clear film; black lies between ([\d:]+) and ([\d:]+)/);
  assert.ok(seconds(low) <= black && black <= seconds(high), `${low} to ${high}`);
  assert.ok(seconds(value) >= black);
  await person.fill('The same where nothing lay over the paper', String(bare));
  const [, held, half] = await person.seen(/Clear film holds back ([\d.]+) ± ([\d.]+) log exposure/);
  assert.ok(Math.abs(Number(held) - film) <= Number(half), `${held} ± ${half}`);
  await person.press('Take it as the time');
  await person.seen(new RegExp(`Time on this ticket\\s+${value}`));
  await person.seen(/Basis: your time strip/);
  assert.deepEqual(person.errors, []);
});

test('no rule of distance under tubes; odd lamps, meters and airs are named', async (t) => {
  const person = await begin(t);
  await person.fill(labels.time, '6:00');
  await person.choose('Tubes side by side');
  await person.fill(labels.distance, '100');
  await person.unfold('Another distance or sheet');
  await person.fill('Another distance, mm', '200');
  await person.seen(/No rule of distance holds under tubes[\s\S]*strip or a meter/);
  await person.choose('One small lamp');
  await person.fill('Greatest size of the lamp, mm', '60');
  await person.seen(/Too near for the inverse square: it holds from 300 mm on/);
  await person.fill(labels.distance, '400');
  await person.fill('Another distance, mm', '800');
  await person.seen(/At 800 mm the time is 4 times as long \(\+2\.00 stop\)/);
  await person.press('Try that light on the print, in the same time');
  await person.seen(/−2\.00 stop[\s\S]*50 % ink|−2\.00 stop[\s\S]*L\* 50/);
  await person.choose('acrylic, extruded, 3 mm');
  await person.seen(/Ordinary acrylic of 3 mm stops most of the light at 365 nm/);

  const noted = (label, pattern) => until(String(pattern), async () => pattern.test((await person.note(label)).text));
  await person.fill(labels.distance, '0');
  await noted(labels.distance, /The distance is 0 mm\. Type a length/);
  await person.fill('Meter at the frame when the time was found, mW/cm²', '9000');
  await noted('Meter at the frame when the time was found, mW/cm²', /no lamp or sun gives\. Check the meter's unit: 1 mW\/cm² is 10 W\/m²/);
  await person.fill('Meter at the frame when the time was found, mW/cm²', '90 W/m²');
  await person.fill('Meter at the frame now', '6000 µW/cm²');
  await person.seen(/6 mW\/cm² now against 9 with the setup: \+0\.58 stop on the time, 9:00/);
  await person.seen(/Time on this ticket\s+9:00/);
  await person.unfold('Humidity, salt boxes, and how long paper takes');
  await person.fill('Temperature of the room, °C', '20');
  await person.fill('Relative humidity, %', '130');
  await noted('Relative humidity, %', /130, outside 1 to 100/);
  await person.fill('Relative humidity, %', '50');
  await person.seen(/Dew point\s+9\.3 °C/);
  await person.fill('If the room were at, °C', '24');
  await person.seen(/39\s% at 24\.0 °C/);
  assert.equal(await person.value(labels.distance), '0');
  assert.deepEqual(person.errors, []);
});

test('a cloud passes, and the sum of the light still ends at the dose', async (t) => {
  const person = await begin(t);
  const start = Date.UTC(2026, 5, 20, 11);
  await person.clock(start);
  await person.fill(labels.time, '3:20');
  await person.fill('Meter at the frame when the time was found, mW/cm²', '6');
  await person.fill('Meter at the frame now', '6');
  await person.choose('End at a dose, not at a time: sun and cloud');
  await person.seen(/Dose to reach\s+1200 mJ\/cm²/);
  await person.go('Workroom');
  await person.press('Start');
  await person.seen(/Light is on\s+3:20/);
  const read = async (level) => {
    await person.fill('Meter now, mW/cm²', level);
    await person.press('Note the reading');
  };
  await person.pass(60_000);
  await person.seen(/360 of 1200 mJ\/cm² given/);
  await read('6');
  await person.pass(10_000);
  await read('1.5');
  await person.seen(/398 of 1200 mJ\/cm² given/);
  await person.seen(/Light is on\s+8:5\d/);
  await person.pass(50_000);
  await read('1.5');
  await person.pass(10_000);
  await read('6');
  await person.seen(/510 of 1200 mJ\/cm² given/);
  await person.seen(/Light is on\s+1:5\d/);
  await person.pass(110_000);
  await person.seen(/11[67]\d of 1200/);
  await person.pass(6_000);
  await person.seen(/Time is up/);
  await person.seen(/12[01]\d of 1200 mJ\/cm² given/);
  assert.deepEqual(person.errors, []);
});

test('the exposure is part of the printed card', async (t) => {
  const person = await begin(t, { viewport: { width: 760, height: 1050 } });
  await person.fill(labels.print, '15:00');
  await person.fill(labels.steps, readings(900).map((d) => d.toFixed(2)).join(' '));
  await timeForBlack(person, 'from 21 steps');
  await person.press('Take it as the time of this ticket');
  await person.seen(/Basis: your step print/);
  const { page } = person.browser;
  await page.emulateMedia({ media: 'print' });
  const card = page.locator('#light');
  const text = await card.innerText();
  assert.match(text, /Time on this ticket\s+\d+:\d\d/);
  assert.match(text, /95\s*%: [\d:]+ to [\d:]+/);
  assert.match(text, /Do not look into a burning lamp/);
  assert.ok(!/Open a scan|More light, or with a minus|What if|Print the exposure/.test(text), 'no questions on paper');
  await save('light-card.png', await page.screenshot({ fullPage: true }));
});
