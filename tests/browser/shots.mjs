// Saves every station in every look on three widths to tests/browser/out, for people to look at: `npm run shots`.
// The pages are in use: the demo book, a real picture in hand, a field that cannot be read, a running lane, and the
// working and the guide of every station opened.
import { readFile } from 'node:fs/promises';
import { PNG } from 'pngjs';
import { load, open, wholePage } from './chromium.mjs';
import { looks, photograph, save, serve, stations, widths } from './harness.mjs';
import { readings } from './light-model.mjs';
import { readPng, readTiff } from './walk-files.mjs';

const ends = [];
const t = { after: (end) => ends.unshift(end) };

/** Brings the page into use, by its own buttons. */
async function use(page) {
  const at = async (station) => {
    await page.evaluate((station) => (location.hash = station), station);
    await page.locator(`#${station}`).waitFor({ state: 'visible' });
  };
  const press = (name, place = page) => place.locator(`button[name="${name}"]:visible`).first().click();
  await at('book');
  await press('demo-open');
  await page.locator('[data-notice="demo"]').waitFor({ state: 'visible' });
  await at('negative');
  const [asked] = await Promise.all([page.waitForEvent('filechooser'), press('open')]);
  await asked.setFiles(photograph);
  await page.locator('canvas[data-canvas="print"]').waitFor({ state: 'visible' });
  await page.locator('input[name="fit"][value="crop"]').check();
  await at('coat');
  await page.locator('#coat input[name="setup.drops_surfactant"]').evaluate((field) => (field.closest('details').open = true));
  await page.locator('#coat input[name="setup.drops_surfactant"]').fill('2o');
  await at('book');
  await page.locator('#book input[name="share"]').check();
  for (const verb of ['film-open', 'record-open']) await press(verb, page.locator('#book'));
  await at('workroom');
  await press('begin');
  await page.locator('#workroom output.digits').waitFor({ state: 'visible' });
  await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => (d.open = true)));
  await page.waitForTimeout(11_000); // until the offers to undo are gone
}

/** What the stations show after more was asked of them: a change of time, a stopped lane, a book file. */
async function further(page) {
  const at = (station) => page.evaluate((station) => (location.hash = station), station);
  await at('light');
  await page.locator('#light input[name="change"]').fill('+0.5');
  await page.locator('#light input[name="looks"][value="light"]').check();
  await page.locator('#light input[name="black"][value="weaker"]').check();
  await page.locator('#light input[name="strip_count"]').fill('12');
  await page.locator('#light input[name="strip_step"]').fill('0.25');
  await learn(page.locator('#light'));
  await page.locator('#light input[name="known.even.lie"][value="typed"]').check();
  await page.locator('#light input[name="known.even.left"]').fill('120');
  await page.locator('#light input[name="known.even.down"]').fill('60');
  await page.locator('#light button[name="use-map"]').click();
  await at('negative');
  await page.locator('#negative input[name="setup.even"]').check();
  await at('book');
  const [download] = await Promise.all([page.waitForEvent('download'), page.locator('#book button[name="export"]').click()]);
  const file = await download.path();
  const [asked] = await Promise.all([page.waitForEvent('filechooser'), page.locator('#book button[name="import"]').click()]);
  await asked.setFiles({ name: 'book.json', mimeType: '', buffer: await readFile(file) });
  await page.locator('#book button[name="import-replace"]').waitFor({ state: 'visible' });
  await at('workroom');
  await page.locator('#workroom button[name="stop"]').click({ delay: 1200 });
  await page.locator('#workroom input[name="early"]').check().catch(() => {});
  await page.waitForTimeout(11_000);
}

/** A step print, a lamp with a map, and the air. */
async function learn(light) {
  const fields = {
    'known.steps.time': '15:00',
    'tablet.steps': readings(900).map((d) => d.toFixed(2)).join(' '),
    'known.steps.masked': '0,07 0,07 0,08 0,07',
    'known.steps.ink': '2,1',
    strip_found: '5',
    strip_bare: '4',
    what: '0.5',
    tone_from: '0,3',
    tone_to: '0,45',
    'setup.meter': '9',
    meter: '7,5',
    distance_to: '200',
    'known.even.readings': '86 92 93 91 85\n92 98 99 97 91\n93 99 100 98 92\n91 97 98 96 90\n84 90 92 89 83',
    'known.even.width': '500',
    'known.even.height': '400',
    'air.temperature': '20',
    'air.humidity': '48',
    'air.other': '24',
    'air.wish': '50',
    'air.weighings': '0 30,60\n5 30,79\n10 30,94\n20 31,14\n40 31,31\n60 31,37',
  };
  await light.locator('input[name="setup.kind"][value="tubes"]').check();
  await light.locator('input[name="setup.sheet"][value="window-3"]').check();
  await light.locator('input[name="sheet_to"][value="acrylic-extruded"]').check();
  for (const [name, text] of Object.entries(fields)) await light.locator(`:is(input, textarea)[name="${name}"]`).fill(text);
  await light.locator('input[name="by_dose"]').check();
}

/** A scan of the print of a chart's film, 300 per inch, paper all round; the print's tones are invented. */
function scanOf(film) {
  const scale = 300 / film.ppi;
  const margin = 320;
  const [across, down] = [Math.round(film.width * scale), Math.round(film.height * scale)];
  const scan = new PNG({ width: across + 2 * margin, height: down + 2 * margin });
  scan.data.fill(248);
  for (let y = 0; y < down; y++) {
    for (let x = 0; x < across; x++) {
      const code = 1 - film.at(film.width - 1 - Math.floor(x / scale), Math.floor(y / scale)) / 65535;
      const lightness = 24 + 69 * Math.pow(code, 0.7);
      const grey = Math.round(255 * Math.pow(Math.pow((lightness + 16) / 116, 3), 1 / 2.2));
      scan.data.set([grey, grey, grey, 255], ((y + margin) * scan.width + x + margin) * 4);
    }
  }
  return PNG.sync.write(scan, { colorType: 2 });
}

/** What Tone shows in its other ways of asking, by name. */
const tones = {
  eyes: async (tone) => {
    await tone.locator('input[name="from"][value="eyes"]').check();
    await tone.locator('input[name="aim"][value="own"]').check();
    await tone.locator('[name="pairs"]').fill('0 22\n25 38\n50 57\n75 76\n100 94');
    await tone.locator('[name="tablet.first"]').fill('0,05');
    await tone.locator('[name="tablet.apart"]').fill('0,1');
    await tone.locator('[name="tablet.count"]').fill('31');
    await tone.locator('[name="tablet.black"]').fill('4');
    await tone.locator('[name="tablet.white"]').fill('24');
    const rows = await tone.locator('input[name$=".darker"]').count();
    for (let row = 1; row < rows - 1; row++) {
      const step = 4 + Math.round((20 * row) / (rows - 1));
      await tone.locator(`input[name="tablet.rows.${row}.darker"]`).fill(String(step));
      await tone.locator(`input[name="tablet.rows.${row}.lighter"]`).fill(String(step + 1));
    }
    await tone.locator('input[name="scan.kind"][value="other"]').check();
  },
  tablet: async (tone) => {
    await tone.locator('input[name="from"][value="tablet"]').check();
    await tone.locator('input[name="aim"][value="linear-lightness"]').check();
    await tone.locator('[name="tablet.steps"]').fill('1,46 1,43 1,34 1,19 0,99 0,77 0,55 0,37 0,25 0,16 0,11 0,08');
    await tone.locator('[name="tablet.apart"]').fill('0,2');
    await tone.locator('[name="tablet.count"]').fill('12');
    await tone.locator('[name="tablet.patches"]').fill('0 1,44\n10 1,33\n20 1,10\n35 0,66\n50 0,40\n70 0,19\n100 0,09');
    await tone.locator('input[name="scan.known"][value="scale"]').check();
    await tone.locator('select[name="carry.format"]').selectOption('link-grey');
    await tone.locator('select[name="carry.greys"]').selectOption('table');
  },
  scan: async (tone, page) => {
    await tone.locator('input[name="from"][value="readings"]').check();
    await tone.locator('input[name="aim"][value="as-on-screen"]').check();
    await tone.locator('input[name="scan.kind"][value="own"]').check();
    await tone.locator('input[name="scan.known"][value="ends"]').check();
    await tone.locator('[name="scan.paper"]').fill('95');
    await tone.locator('[name="scan.black"]').fill('24');
    await tone.locator('select[name="scan.light"]').selectOption('gamma22');
    await tone.locator('[name="masked"]').fill('94,2');
    await tone.locator('[name="bare"]').fill('95');
    await tone.locator('[name="doubt"]').fill('1');
    const [download] = await Promise.all([page.waitForEvent('download'), tone.locator('button[name="chart-film"]').click()]);
    const bytes = await readFile(await download.path());
    const film = download.suggestedFilename().endsWith('.png') ? readPng(bytes) : readTiff(bytes);
    const [asked] = await Promise.all([page.waitForEvent('filechooser'), tone.locator('button[name="scan-open"]').click()]);
    await asked.setFiles({ name: 'Slipway chart, dry, 300 ppi.png', mimeType: 'image/png', buffer: scanOf(film) });
    await tone.locator('button[name="scan-take"]').waitFor({ state: 'visible', timeout: 20_000 }).catch(async (error) => {
      await save('trouble.png', await wholePage(page)); console.log(await tone.innerText()); throw error; });
    await tone.locator('select[name="carry.greys"]').selectOption('gamma22');
    await tone.locator('select[name="carry.format"]').selectOption('points');
    await tone.locator('button[name="carry-points"]').click();
    await page.waitForTimeout(11_000); // until the offers to undo are gone
  },
  // The same scan, said to be of another coat; two sheets of different papers.
  bad: async (tone, page) => {
    if (!(await tone.locator('button[name="scan-again"]').isVisible())) await tones.scan(tone, page);
    const sheet = (name, light) =>
      Array.from({ length: 21 }, (_, i) => `${name},${i + 1},${5 * i},${(24 + light * 3.5 * i + (i % 3)).toFixed(1)}`);
    await tone.locator('[name="readings"]').fill(['sheet,patch,ink %,L*', ...sheet('rag', 1), ...sheet('sketch', 0.9)].join('\n'));
    await tone.locator('[name="chart.width"]').fill('203,2');
    await tone.locator('[name="chart.height"]').fill('152,4');
    await tone.locator('button[name="scan-again"]').click();
    await tone.getByText('By the size of its marks').first().waitFor({ state: 'visible', timeout: 20_000 });
  },
  // Another chart, in the same picture.
  other: async (tone, page) => {
    if (!(await tone.locator('button[name="scan-again"]').isVisible())) await tones.scan(tone, page);
    await tone.locator('[name="chart.width"]').fill('');
    await tone.locator('[name="chart.height"]').fill('');
    await tone.locator('input[name="scan.kind"][value="other"]').check();
    await tone.locator('[name="scan.columns"]').fill('7');
    await tone.locator('[name="scan.rows"]').fill('6');
    await tone.locator('[name="scan.numbers"]').fill(Array.from({ length: 42 }, (_, i) => Math.round((255 * i) / 41)).join(' '));
    const [x0, y0, x1, y1] = [[4, 14], [123, 87.6]].flat().map((mm) => Math.round(320 + (mm * 300) / 25.4));
    await tone.locator('[name="scan.marks"]').fill(`${x0} ${y0}; ${x1} ${y0}; ${x1} ${y1}; ${x0} ${y1}`);
    await tone.locator('button[name="scan-again"]').click();
    await tone.getByText('42 patches read').first().waitFor({ state: 'visible', timeout: 20_000 });
    await page.waitForTimeout(300);
  },
};

/** What goes on paper, as it comes out: the printed width of an A4 sheet, `print` stands in its name. */
const prints = {
  'make-labels': async (page) => {
    await page.evaluate(() => (location.hash = 'make'));
    await page.locator('#make [name="what"]').selectOption('potassium dichromate');
    await page.locator('#make [name="labels"]').fill('9');
    await page.locator('#make input[name="sheet"][value="labels"]').check();
  },
  'make-sheet': async (page) => {
    await page.evaluate(() => (location.hash = 'make'));
    await page.locator('#make [name="what"]').selectOption('palladium');
    await page.locator('#make input[name="sheet"][value="sheet"]').check();
  },
  coat: (page) => page.evaluate(() => (location.hash = 'coat')),
  'work-card': async (page) => {
    await page.evaluate(() => {
      window.print = () => {};
      location.hash = 'workroom';
    });
    await page.locator('#workroom button[name="card"]').click();
  },
};

const only = process.argv.slice(2);
const wanted = (name) => !only.length || only.some((part) => name.includes(part));
try {
  const server = await serve(t);
  for (const width of widths) {
    const names = [...stations, 'negative+', 'light+', 'book+', 'workroom+', ...Object.keys(tones).map((name) => `tone-${name}`)];
    if (!names.some((name) => looks.some((look) => wanted(`${name}-${look}-${width}`)))) continue;
    const { page, close } = await open(t, { viewport: { width, height: width < 700 ? 640 : 800 } });
    await load(page, server.origin);
    await use(page);
    for (const look of looks) {
      await page.evaluate((look) => document.querySelector(`button[data-look="${look}"]`).click(), look);
      for (const station of stations) {
        const name = `${station}-${look}-${width}`;
        if (!wanted(name)) continue;
        await page.evaluate((station) => (location.hash = station), station);
        await page.waitForTimeout(300);
        await save(`${name}.png`, await wholePage(page));
      }
    }
    await further(page);
    for (const look of looks) {
      await page.evaluate((look) => document.querySelector(`button[data-look="${look}"]`).click(), look);
      for (const station of ['negative', 'light', 'book', 'workroom']) {
        const name = `${station}+-${look}-${width}`;
        if (!wanted(name)) continue;
        await page.evaluate((station) => (location.hash = station), station);
        await page.waitForTimeout(300);
        await save(`${name}.png`, await wholePage(page));
      }
    }
    await page.evaluate(() => document.querySelector('button[data-look="paper"]').click());
    for (const [name, ask] of Object.entries(tones)) {
      if (!looks.some((look) => wanted(`tone-${name}-${look}-${width}`))) continue;
      await page.evaluate(() => (location.hash = 'tone'));
      await ask(page.locator('#tone'), page);
      for (const look of looks) {
        if (!wanted(`tone-${name}-${look}-${width}`)) continue;
        await page.evaluate((look) => document.querySelector(`button[data-look="${look}"]`).click(), look);
        await page.waitForTimeout(300);
        await save(`tone-${name}-${look}-${width}.png`, await wholePage(page));
      }
      await page.evaluate(() => document.querySelector('button[data-look="paper"]').click());
    }
    await close();
  }
  if (Object.keys(prints).some((name) => wanted(`${name}-print`))) {
    const { page, close } = await open(t, { viewport: { width: 680, height: 980 } });
    await load(page, server.origin);
    await use(page);
    await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => (d.open = false)));
    for (const [name, ask] of Object.entries(prints)) {
      if (!wanted(`${name}-print`)) continue;
      await ask(page);
      await page.waitForTimeout(300);
      await page.emulateMedia({ media: 'print' });
      await save(`${name}-print.png`, await page.screenshot({ fullPage: true }));
      await page.emulateMedia({ media: 'screen' });
    }
    await close();
  }
} finally {
  for (const end of ends) await end();
}
