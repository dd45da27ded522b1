// Small steps that the tests of keeping share: a time to print with, the book as it lies in the browser, and as a file.
import { until } from './harness.mjs';

export const labels = {
  time: 'Time that gives black behind clear film (6:00, 6 min or 360; empty: not known yet)',
  margin: 'Coated beyond it, each side, mm (5 to 10 mm, 1/4 to 3/8 in, are common)',
};

/** A setup with a time, so that a lane can run. */
export async function printable(person, time = '6:00') {
  await person.go('Light');
  await person.fill(labels.time, time);
  await person.seen(new RegExp(`Time on this ticket\\s+${time}`));
}

/**
 * Everything the page keeps on the device, as it lies there: every object and event of every database by key, the local
 * storage, and the files of the private file system.
 */
export function everythingKept(page) {
  return page.evaluate(async () => {
    const done = (request) =>
      new Promise((good, bad) => {
        request.onsuccess = () => good(request.result);
        request.onerror = () => bad(request.error);
      });
    const databases = {};
    for (const { name } of await indexedDB.databases()) {
      const db = await done(indexedDB.open(name));
      databases[name] = {};
      for (const store of db.objectStoreNames) {
        const objects = db.transaction(store).objectStore(store);
        const [keys, values] = await Promise.all([done(objects.getAllKeys()), done(objects.getAll())]);
        databases[name][store] = Object.fromEntries(keys.map((key, i) => [key, values[i]]));
      }
      db.close();
    }
    const files = [];
    const list = async (folder, path) => {
      for await (const [name, entry] of folder.entries()) {
        if (entry.kind === 'directory') await list(entry, `${path}${name}/`);
        else {
          // It may be removed while we look.
          const file = await entry.getFile().catch(() => null);
          if (file) files.push([`${path}${name}`, file.size]);
        }
      }
    };
    await list(await navigator.storage.getDirectory(), '');
    return { databases, local: { ...localStorage }, files: files.sort() };
  });
}

/** Waits until a text stands in some object of the database. */
export function stored(page, text) {
  return until(`“${text}” in the store`, async () => {
    const { databases } = await everythingKept(page);
    return JSON.stringify(databases.sorrel?.objects ?? {}).includes(text);
  });
}

/** The text of the book file, saved by the button of the book station. */
export async function bookFile(person) {
  await person.go('Book');
  return (await person.take('Save the book as a file')).bytes.toString('utf8');
}

/** The objects of a book file by key, without when it was last saved as a file. */
export function objectsOf(text) {
  const objects = JSON.parse(text).objects.map(({ key, object }) => [key, object]);
  for (const [key, object] of objects) if (key.startsWith('desk/')) delete object.desk.exported;
  return Object.fromEntries(objects);
}
