// A person's hands and eyes on the page: everything by role and label. The walks know nothing else, so that another
// engine only has to offer the same few verbs.
import { readFile } from 'node:fs/promises';
import { kept, load, open } from './chromium.mjs';

/**
 * Hands in Chromium with a profile of their own.
 *
 * | verb | does |
 * |---|---|
 * | `open(address)` | loads the page and waits until it runs |
 * | `follow(link)` | opens a link that came from elsewhere |
 * | `keep()` | waits until the site lies on the device |
 * | `go(station)` | taps the station's link |
 * | `fill(label, text)` | types into the field of that label |
 * | `value(label)` | what stands in it |
 * | `note(label)` | what is said about the field: `{invalid, text}` |
 * | `offers(name)` | whether there is such a button now |
 * | `choose(label)` | taps a choice or a tick |
 * | `pick(label, option)` | takes one of a list |
 * | `unfold(words)` | opens what lies behind those words |
 * | `press(name, {beside})` | presses a button, of the row that says `beside` where there are several |
 * | `give(name, file)` | presses a button that asks for a file, and gives `{name, bytes}` or a path |
 * | `take(name)` | presses a button that hands a file over; `{name, bytes}` |
 * | `read()` | the text of the station on the screen |
 * | `notices()` | the text of the notices above it |
 * | `seen(pattern)`, `noticed(pattern)` | waits until the station, or a notice, says so; the match |
 * | `decode(path)` | a picture as the browser itself decodes it: `{width, height, luminance}`, in 1/65535 |
 * | `clock(ms)`, `pass(ms)` | sets the page's clock, lets it run on |
 * | `errors` | what the page complained about on its console |
 */
export async function hands(t, options = {}) {
  const browser = await open(t, options);
  browser.context.setDefaultTimeout(20_000);
  const field = (label) => browser.page.getByLabel(label, { exact: true }).filter({ visible: true });
  const button = (name) => browser.page.getByRole('button', { name, exact: true });
  const read = () => browser.page.locator('main').innerText();
  const see = async (what, look, pattern) => {
    const end = Date.now() + 30_000;
    for (;;) {
      const text = await look();
      const match = text.match(pattern);
      if (match) return match;
      if (Date.now() > end) throw new Error(`${what} never said ${pattern}; it says:\n${text}`);
      await browser.page.waitForTimeout(50);
    }
  };
  const notices = () => browser.page.getByRole('region', { name: 'Notices' }).innerText();
  return {
    browser,
    errors: browser.messages,
    open: (address) => load(browser.page, address),
    async follow(link) {
      await browser.page.goto('about:blank');
      await load(browser.page, link);
    },
    keep: () => kept(browser.page),
    async go(station) {
      await browser.page.getByRole('navigation', { name: 'Stations' }).getByRole('link', { name: station, exact: true }).click();
      await browser.page.getByRole('heading', { level: 2, name: station, exact: true }).waitFor();
    },
    fill: (label, text) => field(label).fill(text),
    value: (label) => field(label).inputValue(),
    note: (label) =>
      field(label).evaluate((control) => ({
        invalid: control.getAttribute('aria-invalid') === 'true',
        text: (control.getAttribute('aria-describedby') ?? '')
          .split(' ')
          .map((id) => document.getElementById(id)?.innerText ?? '')
          .join(' ')
          .trim(),
      })),
    offers: (name) => button(name).isVisible(),
    choose: (label) => field(label).check(),
    pick: (label, option) => field(label).selectOption({ label: option }),
    async unfold(words) {
      const summary = browser.page.locator('summary').filter({ hasText: words, visible: true });
      if (!(await summary.evaluate((s) => s.parentElement.open))) await summary.click();
    },
    press(name, { beside } = {}) {
      const within = beside ? browser.page.getByRole('listitem').filter({ hasText: beside }) : browser.page;
      return within.getByRole('button', { name, exact: true }).click();
    },
    async give(name, file) {
      const [asked] = await Promise.all([browser.page.waitForEvent('filechooser'), button(name).click()]);
      const payload = typeof file === 'string' ? file : { name: file.name, mimeType: '', buffer: file.bytes };
      await asked.setFiles(payload);
    },
    async take(name) {
      const [download] = await Promise.all([browser.page.waitForEvent('download', { timeout: 60_000 }), button(name).click()]);
      return { name: download.suggestedFilename(), bytes: await readFile(await download.path()) };
    },
    async decode(path) {
      const answer = await browser.page.evaluate(luminance, (await readFile(path)).toString('base64'));
      return { ...answer, luminance: new Uint16Array(new Uint8Array(Buffer.from(answer.luminance, 'base64')).buffer) };
    },
    read,
    notices,
    seen: (pattern) => see('the station', read, pattern),
    noticed: (pattern) => see('the notices', notices, pattern),
    clock: (ms) => browser.page.evaluate((ms) => window.sorrelClock.set(ms), ms),
    pass: (ms) => browser.page.evaluate((ms) => window.sorrelClock.advance(ms), ms),
  };
}

/** Runs in the page: luminance factors of a picture, for which sRGB is supposed (IEC 61966-2-1). */
export async function luminance(base64) {
  const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
  const bitmap = await createImageBitmap(new Blob([bytes]));
  const { width, height } = bitmap;
  const context = new OffscreenCanvas(width, height).getContext('2d');
  context.drawImage(bitmap, 0, 0);
  const { data } = context.getImageData(0, 0, width, height);
  const linear = Array.from({ length: 256 }, (_, code) => {
    const v = code / 255;
    return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  });
  const out = new Uint16Array(width * height);
  for (let i = 0; i < out.length; i++) {
    // Y of linear sRGB after adaptation to D50, as in its ICC profile (second row of the matrix).
    const [r, g, b] = [linear[data[4 * i]], linear[data[4 * i + 1]], linear[data[4 * i + 2]]];
    out[i] = Math.round(65535 * Math.min(1, 0.22249 * r + 0.71687 * g + 0.06063 * b));
  }
  const raw = new Uint8Array(out.buffer);
  let text = '';
  for (let i = 0; i < raw.length; i += 32768) text += String.fromCharCode(...raw.subarray(i, i + 32768));
  return { width, height, luminance: btoa(text) };
}
