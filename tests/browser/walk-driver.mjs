// The walk's verbs (see walk-hands.mjs) over the small driver interface, so that every engine walks the same way.
import { readFile, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { temporaryFolder, until } from './harness.mjs';
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
  // A driver that taps where a thing stood a moment ago taps beside it: answers and previews push the page about.
  const settled = () => driver.evaluate(standsStill);
  const press = async (name) => {
    await settled();
    await driver.click('button', name);
  };
  const open = async (address) => {
    await driver.open(address);
    // A driver scrolls and taps at once, so the page must not scroll gently.
    await driver.evaluate(() => void (document.documentElement.style.scrollBehavior = 'auto'));
  };
  return {
    errors: [],
    open,
    async follow(link) {
      await driver.goto('about:blank');
      await open(link);
    },
    async keep() {
      const reason = await driver.evaluate(() => new Promise((done) => window.sorrelUpdate.offline(done)));
      if (reason) throw new Error(`the site is not kept: ${reason}`);
    },
    go: (station) => driver.at(station.toLowerCase()),
    async fill(label, text) {
      await settled();
      await driver.fill(label, text);
      // The keyboard of a driven browser may lack keys that a person has: WebKitGTK's types no colon.
      if ((await driver.evaluate(field, label))?.value !== text) await driver.evaluate(paste, { label, text });
    },
    value: async (label) => (await until(`a field ${label}`, () => driver.evaluate(field, label))).value,
    async choose(label) {
      await until(`${label} to be chosen`, async () => {
        await settled();
        await driver.tick(label);
        return (await driver.evaluate(field, label))?.checked === true;
      });
    },
    unfold: (words) =>
      driver.evaluate((words) => {
        for (const summary of document.querySelectorAll('main summary')) {
          if (summary.getClientRects().length && summary.innerText.includes(words)) summary.parentElement.open = true;
        }
      }, words),
    async press(name, { beside } = {}) {
      if (!beside) return press(name);
      return driver.evaluate(
        ({ name, source, flags }) => {
          const rows = [...document.querySelectorAll('main li')].filter((li) => new RegExp(source, flags).test(li.innerText));
          [...rows[0].querySelectorAll('button')].find((button) => button.innerText.trim() === name).click();
        },
        { name, source: beside.source, flags: beside.flags },
      );
    },
    async give(name, file) {
      await settled();
      if (typeof file === 'string') return driver.upload('button', name, file);
      const path = join(folder, basename(file.name));
      await writeFile(path, file.bytes);
      return driver.upload('button', name, path);
    },
    take: (name) => driver.download(() => press(name)),
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

/** Runs inside the page: the field that can be seen under a label. */
function field(label) {
  const plain = (text) => text.replace(/\s+/g, ' ').trim();
  const all = [...document.querySelectorAll('main label')].filter((l) => l.getClientRects().length);
  const control = all.find((l) => plain(l.textContent) === label)?.control;
  return control ? { value: control.value, checked: control.checked } : null;
}

/** Runs inside the page: until nothing has moved for a fifth of a second. */
async function standsStill() {
  const places = () =>
    [...document.querySelectorAll('button, input, textarea')].map((e) => Math.round(e.getBoundingClientRect().top)).join();
  for (let before = '', now = places(), tries = 0; before !== now && tries < 50; tries++) {
    before = now;
    await new Promise((done) => setTimeout(done, 200));
    now = places();
  }
}

/** Runs inside the page: puts a text under a label, as pasting does. */
function paste({ label, text }) {
  const plain = (words) => words.replace(/\s+/g, ' ').trim();
  const all = [...document.querySelectorAll('main label')].filter((l) => l.getClientRects().length);
  const { control } = all.find((l) => plain(l.textContent) === label);
  control.value = text;
  control.dispatchEvent(new Event('input', { bubbles: true }));
}
