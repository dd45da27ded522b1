// Chromium through playwright-core.
import { readFile } from 'node:fs/promises';
import { open } from '../chromium.mjs';
import { Driver, chooseOption } from './driver.mjs';
import { find } from './find.mjs';

export class Chromium extends Driver {
  static engine = 'Chromium';

  static async launch(t) {
    const driver = new Chromium();
    driver.browser = await open(t);
    return driver;
  }

  get page() {
    return this.browser.page;
  }

  goto(address) {
    return this.page.goto(address);
  }

  async query(what) {
    return (await this.page.evaluateHandle(find, what)).asElement();
  }

  type(handle, text) {
    return handle.fill(text);
  }

  press(handle) {
    return handle.click();
  }

  set(handle, option) {
    return this.page.evaluate(chooseOption, { element: handle, option });
  }

  property(handle, name) {
    return handle.evaluate((element, name) => element[name], name);
  }

  with(handle, ask) {
    return handle.evaluate(ask);
  }

  async give(handle, path) {
    const dialog = this.page.waitForEvent('filechooser');
    await handle.click();
    await (await dialog).setFiles(path);
  }

  async download(action) {
    const begun = this.page.waitForEvent('download', { timeout: 60_000 });
    await action();
    const download = await begun;
    return { name: download.suggestedFilename(), bytes: await readFile(await download.path()) };
  }

  evaluate(ask, arg) {
    return this.page.evaluate(ask, arg);
  }

  again() {
    return this.page.reload();
  }

  kill() {
    return this.browser.kill();
  }

  start() {
    return this.browser.start();
  }

  close() {
    return this.browser.close();
  }
}
