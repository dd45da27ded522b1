// Firefox ESR through puppeteer-core, which speaks WebDriver BiDi to it.
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import puppeteer from 'puppeteer-core';
import { downloads, sleep, temporaryFolder, until } from '../harness.mjs';
import { Driver } from './driver.mjs';
import { find } from './find.mjs';

export class Firefox extends Driver {
  static engine = 'Firefox';

  static async launch(t) {
    const driver = new Firefox();
    driver.profile = await temporaryFolder(t, 'sorrel-firefox-');
    driver.downloads = await temporaryFolder(t, 'sorrel-downloads-');
    t.after(() => driver.close());
    await driver.start();
    return driver;
  }

  async start() {
    this.browser = await puppeteer.launch({
      browser: 'firefox',
      executablePath: process.env.FIREFOX ?? '/usr/bin/firefox-esr',
      headless: true,
      userDataDir: this.profile,
      extraPrefsFirefox: {
        'browser.download.dir': this.downloads,
        'browser.download.folderList': 2,
        'browser.download.useDownloadDir': true,
        'browser.helperApps.neverAsk.saveToDisk': 'application/json,image/tiff,image/png,application/octet-stream,text/plain',
        'browser.sessionstore.resume_from_crash': false,
        'toolkit.startup.max_resumed_crashes': -1,
      },
    });
    this.page = (await this.browser.pages())[0] ?? (await this.browser.newPage());
  }

  goto(address) {
    return this.page.goto(address);
  }

  async query(what) {
    return (await this.page.evaluateHandle(find, what)).asElement();
  }

  async type(handle, text) {
    await handle.evaluate((element) => {
      element.scrollIntoView({ block: 'center', behavior: 'instant' });
      element.focus();
      element.select();
    });
    await this.page.keyboard.press('Backspace');
    if (text) await this.page.keyboard.type(text);
  }

  async press(handle) {
    await handle.evaluate((element) => element.scrollIntoView({ block: 'center', behavior: 'instant' }));
    await handle.click();
  }

  set(handle, option) {
    return handle.evaluate((element, option) => {
      const found = [...element.options].find((one) => one.text.trim() === option || one.value === option);
      if (!found) throw new Error(`no option ${option}`);
      element.value = found.value;
      element.dispatchEvent(new Event('input', { bubbles: true }));
      element.dispatchEvent(new Event('change', { bubbles: true }));
    }, option);
  }

  property(handle, name) {
    return handle.evaluate((element, name) => element[name], name);
  }

  with(handle, ask) {
    return handle.evaluate(ask);
  }

  async give(handle, path) {
    await this.press(handle);
    const input = await until('the file dialog', () => this.page.$('input[data-picker]'));
    await input.uploadFile(path);
  }

  async download(action) {
    const before = await downloads(this.downloads);
    await action();
    const name = await until('a downloaded file', async () =>
      (await downloads(this.downloads)).find((name) => !before.includes(name)), { timeout: 60_000 });
    const path = join(this.downloads, name);
    // The file's name stands before its last byte does.
    for (let size = -1, now = (await readFile(path)).length; size !== now || now === 0; ) {
      size = now;
      await sleep(200);
      now = (await readFile(path)).length;
    }
    return { name, bytes: await readFile(path) };
  }

  evaluate(ask, arg) {
    return this.page.evaluate(ask, arg);
  }

  again() {
    return this.page.reload();
  }

  async kill() {
    const { pid } = this.browser.process();
    const gone = new Promise((done) => this.browser.process().once('exit', done));
    process.kill(-pid, 'SIGKILL');
    await gone;
    await sleep(300);
  }

  async close() {
    await this.browser.close().catch(() => {});
  }
}
