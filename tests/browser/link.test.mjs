// Share links are a stranger's text: every link of the corpus opens, and hostile ones do no harm.
import assert from 'node:assert/strict';
import { readFile, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { test } from 'node:test';
import { root, serve, testSite } from './harness.mjs';
import { hands } from './walk-hands.mjs';
import { exportBook, light, objectsOf } from './walk.mjs';

const folder = join(root, 'tests/links');

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t);
  const dialogs = [];
  person.browser.page.on('dialog', (dialog) => {
    dialogs.push(dialog.message());
    void dialog.dismiss();
  });
  await person.open(server.origin);
  return { person, server, dialogs };
}

/** Opens a link and says what the page offers; the link has left the address by then. */
async function openLink(person, origin, fragment) {
  await person.follow(`${origin}/${fragment}`);
  await person.seen(/From a link/);
  assert.equal(new URL(person.browser.page.url()).hash, '#book');
  return { usable: await person.offers('Use it as a new setup'), text: await person.read() };
}

test('every frozen link opens, and is used only when asked', async (t) => {
  const { person, server } = await begin(t);
  const names = (await readdir(folder)).filter((name) => name.endsWith('.txt'));
  assert.ok(names.length >= 5, `${names.length} links`);
  for (const name of names) {
    const link = (await readFile(join(folder, name), 'utf8')).trim();
    const expected = (await readFile(join(folder, name.replace('.txt', '.expected')), 'utf8')).trim().split('\n');
    const values = expected.filter((line) => line.includes(' = '));
    const { usable, text } = await openLink(person, server.origin, link);
    assert.equal(usable, values.length > 0, `${name} can be used`);
    const setup = values.find((line) => line.startsWith('name = '))?.slice(7);
    if (setup) assert.ok(text.includes(setup), `${name}: ${setup} stands as text in\n${text}`);
    await person.press('Keep mine only');
  }
  assert.match(await person.read(), /1 setup,/);
  assert.deepEqual(person.errors, []);
});

test('hostile links do no harm', async (t) => {
  const { person, server, dialogs } = await begin(t);
  await light(person, '5:00');
  const before = objectsOf(await exportBook(person));
  const long = `#v=1&name=${'x'.repeat(9_000)}&z=2`;
  const hostile = {
    'very long': long,
    'a hundred thousand pairs': `#v=1${'&ppi=720'.repeat(100_000)}`,
    cut: '#v=1&name=War',
    'cut in a percent sign': '#v=1&name=Warm%2',
    'percent garbage': '#v=1&name=%zz%%%&ink=%ff%fe&film=%00%01&z=4',
    script: "#v=1&name=%3Cimg%20src%3Dx%20onerror%3Dalert(1)%3E&ink=%22%3E%3Cscript%3Ealert(1)%3C/script%3E&z=3",
    'script address': '#v=1&name=javascript:alert(1)&z=2',
    'not a number': '#v=1&ppi=NaN&edge=Infinity&near=-Infinity&z=4',
    'out of range': '#v=1&ppi=-1&edge=1e308&ld=99999999999999999999&z=4',
    'foreign keys': '#v=1&__proto__=1&constructor=2&time=360&exposure=1&%3Cb%3E=3&z=6',
    'values twice': '#v=1&ppi=360&ppi=720&name=a&name=b&z=5',
    readings: '#v=1&tone=d,,,,-1,99999,NaN&z=2',
    'the end first': '#v=1&z=1&name=late',
    'no version': '#v=&name=x',
    'later version': '#v=99&name=x&z=2',
    'only a version': '#v=1',
    'bidirectional marks': '#v=1&name=%E2%80%AEgnp.exe%E2%80%AC&z=2',
  };
  for (const [what, link] of Object.entries(hostile)) {
    const { text } = await openLink(person, server.origin, link).catch((error) => assert.fail(`${what}: ${error.message}`));
    assert.ok(text.length < 20_000, `${what} fills the page`);
    const foreign = await person.browser.page.evaluate(() => document.querySelectorAll('main img, main script, main iframe').length);
    assert.equal(foreign, 0, `${what} became markup`);
    await person.press('Keep mine only');
  }
  assert.deepEqual(objectsOf(await exportBook(person)), before, 'the book is as it was');

  // Used, it is still only text, and a setup beside the own one.
  await openLink(person, server.origin, hostile.script);
  await person.press('Use it as a new setup');
  await person.seen(/<img src=x onerror=alert\(1\)>/);
  const after = objectsOf(await exportBook(person));
  for (const key of Object.keys(before).filter((key) => key.startsWith('setup/'))) assert.deepEqual(after[key], before[key]);

  assert.deepEqual(dialogs, []);
  assert.deepEqual(person.errors, []);
  const asked = person.browser.requests.map((url) => new URL(url)).filter(({ protocol }) => protocol.startsWith('http'));
  assert.deepEqual(asked.filter(({ origin }) => origin !== server.origin).map(String), []);
});
