// Where the book is kept: a full disk, two tabs, a book of a newer build, the demo, and the book as a file.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { test } from 'node:test';
import { load, ready } from './chromium.mjs';
import { serve, temporaryFolder, testSite, until } from './harness.mjs';
import { bookFile, everythingKept, labels, objectsOf, printable, stored } from './book-steps.mjs';
import { hands } from './walk-hands.mjs';

/** A winter morning in the workroom. */
const morning = Date.UTC(2026, 0, 18, 9, 0, 0);

async function begin(t) {
  const server = await serve(t, testSite);
  const person = await hands(t);
  await person.open(server.origin);
  return { server, person, page: person.browser.page };
}

/** The objects of the book in the browser. */
const objects = async (page) => (await everythingKept(page)).databases.sorrel.objects;

test('with full storage the page says so, works on and offers the file; with room again all is kept', async (t) => {
  const server = await serve(t, testSite);
  const profile = await temporaryFolder(t, 'sorrel-chromium-');
  const before = await hands(t, { profile });
  await before.open(server.origin);
  await printable(before);
  await stored(before.browser.page, '6:00');
  // Anew, because the browser remembers for half a minute how much room there was.
  await before.browser.close();
  const person = await hands(t, { profile });
  const { page, cdp } = person.browser;
  await cdp.send('Storage.overrideQuotaForOrigin', { origin: server.origin, quotaSize: 1 });
  await person.open(server.origin);
  assert.equal(await person.notices(), '', 'reading needs no room');

  await person.go('Negative');
  await person.fill('Title', 'Capstan in fog');
  await person.noticed(/no room left[\s\S]*save the book as a file/);
  assert.ok(!JSON.stringify(await objects(page)).includes('Capstan'), 'the disk is really full');
  await person.fill('Width, mm', '150');
  await person.fill('Height, mm', '120');
  await person.go('Coat');
  await person.seen(/Coated: [\d.]+ × [\d.]+ mm/);
  await person.fill(labels.margin, '5');
  await person.seen(/Coated: 160 × \d+ mm/);

  // A look at the demo costs nothing of it.
  await person.go('Book');
  await person.press('Open the demo book');
  await person.noticed(/This is the demo book/);
  await person.go('Book');
  await person.press('Close it and go back to your own');
  await until('the notice to go', async () => !/This is the demo book/.test(await person.notices()));

  // A lane cannot wait for the disk.
  await person.go('Workroom');
  await person.press('Start');
  await person.seen(/Light is on/);
  assert.match(await person.read(), /Nothing can be stored on this device now/);

  const offered = page.getByRole('alert').getByRole('button', { name: 'Save the book as a file' });
  const [download] = await Promise.all([page.waitForEvent('download'), offered.click()]);
  const file = await readFile(await download.path(), 'utf8');
  for (const text of ['Capstan in fog', '"150"', '"120"', 'lane/']) assert.ok(file.includes(text), `the file holds ${text}`);

  await cdp.send('Storage.overrideQuotaForOrigin', { origin: server.origin });
  await until('the notice to go', async () => !/no room left/.test(await person.notices()));
  await stored(page, 'Capstan in fog');
  await page.reload();
  await ready(page);
  await person.go('Workroom');
  await person.seen(/Light is on/);
  await person.go('Negative');
  await until('the title', async () => (await person.value('Title')) === 'Capstan in fog');
  assert.equal(await person.value('Width, mm'), '150');
  assert.equal(await person.value('Height, mm'), '120');
  await person.go('Coat');
  assert.equal(await person.value(labels.margin), '5');
});

test('what is changed in one tab shows in the other, and both agree in the end', async (t) => {
  const { server, person, page } = await begin(t);
  await person.go('Negative');
  const second = await person.browser.context.newPage();
  await load(second, `${server.origin}/#negative`);
  const title = (tab) => tab.getByLabel('Title', { exact: true }).filter({ visible: true });

  await title(page).fill('Net loft');
  await until('the title in the second tab', async () => (await title(second).inputValue()) === 'Net loft');
  await second.getByLabel('Width, mm', { exact: true }).fill('181');
  await until('the width in the first tab', async () => (await person.value('Width, mm')) === '181');
  assert.equal(await title(page).inputValue(), 'Net loft');

  // Both at once, in the same object: one is laid over the other. The text is put in whole, because a robot that first
  // selects what stood there loses its selection when the other tab's text arrives in between.
  const put = (tab, text) =>
    title(tab).evaluate((field, text) => {
      field.value = text;
      field.dispatchEvent(new Event('input', { bubbles: true }));
    }, text);
  await Promise.all([put(page, 'Net loft, north'), put(second, 'Net loft, south')]);
  const agreed = await until('both tabs to agree with the store', async () => {
    const [one, other] = [await title(page).inputValue(), await title(second).inputValue()];
    return one === other && JSON.stringify(await objects(page)).includes(`"${one}"`) ? one : null;
  });
  assert.match(agreed, /^Net loft, (north|south)$/);
  const width = (tab) => tab.getByLabel('Width, mm', { exact: true }).filter({ visible: true });
  for (const tab of [page, second]) assert.equal(await width(tab).inputValue(), '181');

  // At the same moment: whichever tab comes second meets the other's revision.
  const tabs = [page, second];
  const clash = /Another tab has changed the same thing\. What stands here was kept/;
  const notices = (tab) => tab.getByRole('region', { name: 'Notices' });
  const both = async () => JSON.stringify(await Promise.all(tabs.map(async (tab) => [await title(tab).inputValue(), await width(tab).inputValue()])));
  for (const tab of tabs) await tab.reload().then(() => ready(tab));
  const typeAtOnce = (entries) => {
    const moment = Date.now() + 500;
    const typed = ([field, text]) =>
      field.evaluate(
        (field, { text, moment }) => {
          while (Date.now() < moment);
          field.value = text;
          field.dispatchEvent(new Event('input', { bubbles: true }));
        },
        { text, moment },
      );
    return Promise.all(entries.map(typed));
  };

  // Different fields of the same object: both stand, and nobody is told.
  await typeAtOnce([[title(page), 'Net loft, west'], [width(second), '190']]);
  const laid = JSON.stringify([['Net loft, west', '190'], ['Net loft, west', '190']]);
  await until('both entries in both tabs', async () => (await both()) === laid);
  for (const tab of tabs) assert.doesNotMatch(await notices(tab).innerText(), clash);

  // The same field: the second tab keeps what stands in it and says so, and its way back brings the other tab's.
  await typeAtOnce([[title(page), 'Net loft, dawn'], [title(second), 'Net loft, dusk']]);
  const titled = (text) => JSON.stringify([[text, '190'], [text, '190']]);
  const stands = await until('both tabs to agree again', async () => {
    const now = await both();
    return ['Net loft, dawn', 'Net loft, dusk'].find((text) => now === titled(text));
  });
  const [late, early, other] = stands === 'Net loft, dawn' ? [page, second, 'Net loft, dusk'] : [second, page, 'Net loft, dawn'];
  await until('the notice', async () => clash.test(await notices(late).innerText()));
  assert.doesNotMatch(await notices(early).innerText(), clash);
  await late.getByRole('button', { name: 'Undo', exact: true }).click();
  await until('the other tab’s text to be back in both', async () => (await both()) === titled(other));
});

test('a book of a newer build is shown and not touched', async (t) => {
  const { person, page } = await begin(t);
  await person.go('Negative');
  await person.fill('Title', 'Boathouse');
  await stored(page, 'Boathouse');
  await page.evaluate(
    () =>
      new Promise((done, failed) => {
        const open = indexedDB.open('sorrel');
        open.onerror = failed;
        open.onsuccess = () => {
          const transaction = open.result.transaction(['meta', 'objects'], 'readwrite');
          transaction.objectStore('meta').put(99, 'schema');
          // Something this build cannot know.
          transaction.objectStore('objects').put({ rev: 4, kind: 'toning', object: { gold: '1 %' } }, 'toning/a');
          transaction.oncomplete = () => {
            open.result.close();
            done();
          };
        };
      }),
  );
  const before = (await everythingKept(page)).databases;
  await page.reload();
  await ready(page);
  await person.noticed(/written by a newer build of Sorrel/);
  await until('the title', async () => (await person.value('Title')) === 'Boathouse');

  await person.go('Book');
  await person.press('New ticket with the same setup');
  await person.noticed(/can be read here but not changed/);
  await person.go('Negative');
  await page.getByLabel('Title', { exact: true }).filter({ visible: true }).pressSequentially(' II');
  await person.go('Coat');
  await page.waitForTimeout(500);
  await page.reload();
  await ready(page);
  assert.deepEqual((await everythingKept(page)).databases, before);
});

test('the demo book opens with one tap and leaves no trace', async (t) => {
  const { server, person, page } = await begin(t);
  await printable(person, '4:30');
  await person.go('Negative');
  await person.fill('Title', 'My own');
  await stored(page, 'My own');
  await person.go('Book');
  const before = await everythingKept(page);

  await person.press('Open the demo book');
  await person.noticed(/This is the demo book/);
  await person.go('Negative');
  await person.seen(/harbour|Slipway|mole|quay/i);
  await person.fill('Title', 'Scribbled over');
  await person.go('Workroom');
  await person.read();
  await person.go('Book');
  await person.press('New ticket with the same setup');
  await person.go('Book');
  await person.press('Close it and go back to your own');
  await until('the notice to go', async () => !/This is the demo book/.test(await person.notices()));
  await person.go('Negative');
  assert.equal(await person.value('Title'), 'My own');
  assert.deepEqual(await everythingKept(page), before);

  // Nor when the page is closed while it lies open.
  await person.go('Book');
  await person.press('Open the demo book');
  await person.noticed(/This is the demo book/);
  await person.go('Negative');
  await person.fill('Title', 'Scribbled over');
  await load(page, server.origin);
  await until('the own title', async () => (await person.value('Title')) === 'My own');
  assert.deepEqual(await everythingKept(page), before);

  // Its alarm would not be heard from inside the demo.
  await person.go('Workroom');
  await person.press('Start');
  await person.seen(/Light is on/);
  await person.go('Book');
  await person.press('Open the demo book');
  await person.noticed(/A lane is running/);
  await person.go('Workroom');
  await person.seen(/Light is on/);
});

/** A book with something of everything: the demo's, taken over as a file. */
async function filled(person) {
  await person.go('Book');
  await person.press('Open the demo book');
  await person.noticed(/This is the demo book/);
  const demo = await bookFile(person);
  await person.go('Book');
  await person.press('Close it and go back to your own');
  await person.go('Book');
  return demo;
}

const open = (person, text) => person.give('Open a book file', { name: 'book.json', bytes: Buffer.from(text) });

test('an unchanged book gives the same file, byte for byte, but for the time it was made', async (t) => {
  const { person, page } = await begin(t);
  await person.clock(morning);
  const demo = await filled(person);
  await open(person, demo);
  await person.seen(/Nothing has changed yet/);
  await person.press('Replace this book by it');
  await person.seen(/6 records/);

  await bookFile(person);
  const first = await bookFile(person);
  assert.ok(first.length > 10_000, `${first.length} bytes`);
  assert.equal(await bookFile(person), first, 'at the same moment');
  await page.reload();
  await ready(page);
  await person.clock(morning);
  assert.equal(await bookFile(person), first, 'after a reload');

  await person.pass(60_000);
  const later = await bookFile(person);
  assert.notEqual(later, first);
  // The only object that knows of saving is the desk, and the only event is the saving.
  const [one, other] = [JSON.parse(first), JSON.parse(later)];
  assert.deepEqual(objectsOf(later), objectsOf(first));
  const changed = other.objects.filter((object, i) => JSON.stringify(object) !== JSON.stringify(one.objects[i]));
  assert.deepEqual(changed.map(({ key }) => key.split('/')[0]), ['desk']);
  assert.deepEqual(other.events.slice(0, one.events.length), one.events);
  assert.deepEqual({ ...other, made: 0, objects: [], events: [] }, { ...one, made: 0, objects: [], events: [] });
});

test('a book file is added to the book or takes its place, and either can be taken back', async (t) => {
  const { person, page } = await begin(t);
  const demo = await filled(person);
  await person.go('Negative');
  await person.fill('Title', 'My own');
  await stored(page, 'My own');
  const own = objectsOf(await bookFile(person));
  const theirs = objectsOf(demo);
  const apart = (objects) => Object.fromEntries(Object.entries(objects).filter(([key]) => !key.startsWith('desk/')));
  const together = { ...apart(theirs), ...apart(own) };
  const take = async (button) => {
    await open(person, demo);
    await person.seen(/Nothing has changed yet/);
    await person.press(button);
    await person.seen(/6 records/);
  };
  const takeBack = async () => {
    await person.press('Undo the last change');
    await person.seen(/1 ticket, 1 setup, 0 films, 0 records/);
    assert.deepEqual(objectsOf(await bookFile(person)), own);
  };

  await open(person, demo);
  await person.seen(/Nothing has changed yet/);
  assert.deepEqual(objectsOf(await bookFile(person)), own, 'really nothing');
  await person.press('Leave everything as it is');
  assert.deepEqual(objectsOf(await bookFile(person)), own);

  await take('Add it to this book');
  await takeBack();
  await take('Add it to this book');
  const added = objectsOf(await bookFile(person));
  assert.deepEqual(apart(added), together);
  assert.equal(added['desk/desk'].desk.ticket, own['desk/desk'].desk.ticket, 'the own ticket stays in hand');
  // Once more adds nothing.
  await take('Add it to this book');
  assert.deepEqual(objectsOf(await bookFile(person)), added);
  await person.press('Undo the last change');

  const replace = async () => {
    await take('Replace this book by it');
    await until('the own ticket to go', async () => !/My own/.test(await person.read()));
  };
  await replace();
  await takeBack();
  await person.seen(/My own/);
  await replace();
  assert.deepEqual(objectsOf(await bookFile(person)), theirs);
  await page.reload();
  await ready(page);
  assert.deepEqual(objectsOf(await bookFile(person)), theirs, 'it is stored');
});
