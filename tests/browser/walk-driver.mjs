// The walk's verbs (see walk-hands.mjs) over the small driver interface, so that every engine walks the same way.
import { readFile, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { temporaryFolder } from './harness.mjs';
import { luminance } from './walk-hands.mjs';

/** A person before a driven browser. */
export async function person(t, driver) {
  const folder = await temporaryFolder(t, 'sorrel-files-');
  const read = () => driver.evaluate(() => document.querySelector('main').innerText);
  const notices = () => driver.evaluate(() => document.querySelector('.notices').innerText);
  const see = async (what, look, pattern) => {
    const end = Date.now() + 60_000;
    for (;;) {
      const text = await look();
      const match = text.match(pattern);
      if (match) return match;
      if (Date.now() > end) throw new Error(`${what} never said ${pattern}; it says:\n${text}`);
      await new Promise((done) => setTimeout(done, 100));
    }
  };
  return {
    errors: [],
    open: (address) => driver.open(address),
    async follow(link) {
      await driver.goto('about:blank');
      await driver.open(link);
    },
    async keep() {
      const reason = await driver.evaluate(() => new Promise((done) => window.sorrelUpdate.offline(done)));
      if (reason) throw new Error(`the site is not kept: ${reason}`);
    },
    go: (station) => driver.at(station.toLowerCase()),
    fill: (label, text) => driver.fill(label, text),
    value: (label) =>
      driver.evaluate((label) => {
        const plain = (text) => text.replace(/\s+/g, ' ').trim();
        const all = [...document.querySelectorAll('main label')].filter((l) => l.getClientRects().length);
        return all.find((l) => plain(l.textContent) === label).control.value;
      }, label),
    choose: (label) => driver.tick(label),
    unfold: (words) =>
      driver.evaluate((words) => {
        for (const summary of document.querySelectorAll('main summary')) {
          if (summary.getClientRects().length && summary.innerText.includes(words)) summary.parentElement.open = true;
        }
      }, words),
    async press(name, { beside } = {}) {
      if (!beside) return driver.click('button', name);
      return driver.evaluate(
        ({ name, source, flags }) => {
          const rows = [...document.querySelectorAll('main li')].filter((li) => new RegExp(source, flags).test(li.innerText));
          [...rows[0].querySelectorAll('button')].find((button) => button.innerText.trim() === name).click();
        },
        { name, source: beside.source, flags: beside.flags },
      );
    },
    async give(name, file) {
      if (typeof file === 'string') return driver.upload('button', name, file);
      const path = join(folder, basename(file.name));
      await writeFile(path, file.bytes);
      return driver.upload('button', name, path);
    },
    take: (name) => driver.download(() => driver.click('button', name)),
    async decode(path) {
      const answer = await driver.evaluate(luminance, (await readFile(path)).toString('base64'));
      return { ...answer, luminance: new Uint16Array(new Uint8Array(Buffer.from(answer.luminance, 'base64')).buffer) };
    },
    read,
    notices,
    seen: (pattern) => see('the station', read, pattern),
    noticed: (pattern) => see('the notices', notices, pattern),
    clock: (ms) => driver.evaluate((ms) => window.sorrelClock.set(ms), ms),
    pass: (ms) => driver.evaluate((ms) => window.sorrelClock.advance(ms), ms),
  };
}
