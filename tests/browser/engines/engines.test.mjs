// The same jobs in three engines, with a matrix at the end. "not run" is an answer of its own: neither passed nor failed.
import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { Chromium } from '../drivers/chromium.mjs';
import { Firefox } from '../drivers/firefox.mjs';
import { WebKit } from '../drivers/webkit.mjs';
import { save, serve, testSite } from '../harness.mjs';
import { saveLargeFile } from '../test-file.mjs';
import { walk } from '../walk.mjs';

const engines = [Chromium, Firefox, WebKit];

const kept = (driver) =>
  driver.wait('the site to be kept', () => new Promise((done) => window.sorrelUpdate.offline((reason) => done(reason === ''))));

const jobs = {
  async 'opens'(driver, server) {
    await driver.open(server.origin);
    assert.equal(await driver.text('h1'), 'Sorrel');
  },

  async 'answers what is typed'(driver, server) {
    await driver.open(server.origin);
    await driver.at('coat');
    await driver.fill('Width of the picture', '203,2');
    await driver.fill('Height of the picture', '254');
    await driver.wait('an answer', () =>
      [...document.querySelectorAll('#coat output')].some((output) => output.getClientRects().length && /\d/.test(output.textContent)));
  },

  async 'opens with the server stopped'(driver, server) {
    await driver.open(server.origin);
    await kept(driver);
    await server.stop();
    await driver.reload();
    await driver.open(`${server.origin}/#coat`);
  },

  async 'keeps what was typed over a reload'(driver, server) {
    await driver.open(server.origin);
    await driver.at('coat');
    await driver.fill('Width of the picture', '181');
    await driver.wait('nothing', () => new Promise((done) => setTimeout(() => done(true), 1000)));
    await driver.reload();
    await driver.at('coat');
    assert.equal(await driver.text('#coat-width'), '181');
  },

  async 'keeps what was typed when it is killed'(driver, server) {
    await driver.open(server.origin);
    await driver.at('coat');
    await driver.fill('Width of the picture', '182');
    await driver.wait('nothing', () => new Promise((done) => setTimeout(() => done(true), 1000)));
    await driver.kill();
    await driver.start();
    await driver.open(server.origin);
    await driver.at('coat');
    assert.equal(await driver.text('#coat-width'), '182');
  },

  async 'saves the book as a file'(driver, server) {
    await driver.open(server.origin);
    await driver.at('book');
    const { name, bytes } = await driver.download(() => driver.click('button', 'Save the book as a file'));
    assert.match(name, /\.json$/);
    assert.equal(typeof JSON.parse(bytes.toString('utf8')), 'object');
  },

  async 'saves 512 MB whole'(driver, server) {
    await driver.open(server.origin);
    await saveLargeFile(driver);
  },

  async 'the whole job'(driver, server, t) {
    await walk(driver, server, t);
  },
};

const matrix = {};
for (const Engine of engines) {
  for (const [name, job] of Object.entries(jobs)) {
    const row = (matrix[name] ??= {});
    row[Engine.engine] = 'not run';
    test(`${Engine.engine}: ${name}`, { timeout: 300_000 }, async (t) => {
      const { kill, large } = new Engine().cannot;
      const cannot = (name.includes('killed') && kill) || (name.includes('512 MB') && large);
      if (cannot) return t.skip(cannot);
      row[Engine.engine] = 'failed';
      const server = await serve(t, testSite);
      await job(await Engine.launch(t), server, t);
      row[Engine.engine] = 'passed';
    });
  }
}

after(async () => {
  const names = engines.map(({ engine }) => engine);
  const line = (cells) => `| ${cells.join(' | ')} |`;
  const table = [
    line(['', ...names]),
    line(['---', ...names.map(() => '---')]),
    ...Object.entries(matrix).map(([job, row]) => line([job, ...names.map((name) => row[name])])),
  ].join('\n');
  console.log(`\n${table}\n`);
  await save('engines.md', Buffer.from(`${table}\n`));
});
