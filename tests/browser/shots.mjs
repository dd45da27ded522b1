// Saves every station in every look on three widths to tests/browser/out, for people to look at: `npm run shots`.
// The pages are in use: the demo book, a real picture in hand, a field that cannot be read, a running lane, and the
// working and the guide of every station opened.
import { readFile } from 'node:fs/promises';
import { load, open, wholePage } from './chromium.mjs';
import { looks, photograph, save, serve, stations, widths } from './harness.mjs';

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

const only = process.argv.slice(2);
const wanted = (name) => !only.length || only.some((part) => name.includes(part));
try {
  const server = await serve(t);
  for (const width of widths) {
    if (only.length && !stations.some((s) => looks.some((l) => wanted(`${s}-${l}-${width}`)))) continue;
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
      for (const station of ['light', 'book', 'workroom']) {
        const name = `${station}+-${look}-${width}`;
        if (!wanted(name)) continue;
        await page.evaluate((station) => (location.hash = station), station);
        await page.waitForTimeout(300);
        await save(`${name}.png`, await wholePage(page));
      }
    }
    await close();
  }
} finally {
  for (const end of ends) await end();
}
