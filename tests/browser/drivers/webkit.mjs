// WebKitGTK through its own WebDriver, over plain HTTP, on a screen of Xvfb: no library stands between.
import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { createServer } from 'node:net';
import { until } from '../harness.mjs';
import { Driver } from './driver.mjs';
import { find } from './find.mjs';

/** How WebDriver writes a reference to an element. */
const ELEMENT = 'element-6066-11e4-a52e-4f735466cecf';

const browser = ['4.1', '4.0', '6.0']
  .map((version) => `/usr/lib/x86_64-linux-gnu/webkit2gtk-${version}/MiniBrowser`)
  .find((path) => existsSync(path));

async function freePort() {
  const server = createServer();
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address();
  await new Promise((done) => server.close(done));
  return port;
}

export class WebKit extends Driver {
  static engine = 'WebKitGTK';

  cannot = {
    // Its browser keeps no profile while it is driven.
    kill: 'the driven browser keeps no profile',
    // What it saves comes out as text, see `download`.
    large: 'the driven browser saves nowhere',
  };

  static async launch(t) {
    const driver = new WebKit();
    t.after(() => driver.close());
    // It takes a free number by itself and says which, once it can be used.
    driver.screen = spawn('Xvfb', ['-displayfd', '3', '-screen', '0', '1280x1024x24', '-nolisten', 'tcp'], {
      stdio: ['ignore', 'ignore', 'ignore', 'pipe'],
    });
    const display = await new Promise((done, failed) => {
      driver.screen.on('error', failed);
      driver.screen.stdio[3].once('data', (number) => done(`:${String(number).trim()}`));
    });
    const port = await freePort();
    driver.process = spawn('WebKitWebDriver', [`--port=${port}`], {
      stdio: 'ignore',
      detached: true,
      env: { ...process.env, DISPLAY: display, GDK_BACKEND: 'x11', WEBKIT_DISABLE_COMPOSITING_MODE: '1', LIBGL_ALWAYS_SOFTWARE: '1' },
    });
    driver.base = `http://127.0.0.1:${port}`;
    await until('the driver', () => fetch(`${driver.base}/status`).then((answer) => answer.ok, () => false));
    const { sessionId } = await driver.send('POST', '/session', {
      capabilities: {
        alwaysMatch: {
          browserName: 'MiniBrowser',
          'webkitgtk:browserOptions': { binary: browser, args: ['--automation'] },
          timeouts: { script: 15_000, pageLoad: 60_000, implicit: 0 },
        },
      },
    });
    driver.base += `/session/${sessionId}`;
    return driver;
  }

  async send(method, path, body) {
    const signal = AbortSignal.timeout(60_000);
    const answer = await fetch(this.base + path, { method, body: body && JSON.stringify(body), signal });
    const { value } = await answer.json();
    if (!answer.ok) throw new Error(`${path}: ${value.error}: ${value.message}`);
    return value;
  }

  goto(url) {
    return this.send('POST', '/url', { url });
  }

  async script(source, ...args) {
    const done = `const done = arguments[arguments.length - 1];
      Promise.resolve((${source}).apply(null, [].slice.call(arguments, 0, -1)))
        .then((value) => done({ value: value === undefined ? null : value }), (error) => done({ error: String(error) }));`;
    const { value, error } = await this.send('POST', '/execute/async', { script: done, args });
    if (error) throw new Error(error);
    return value;
  }

  evaluate(ask, arg = null) {
    return this.script(String(ask), arg);
  }

  query(what) {
    return this.script(String(find), what);
  }

  async type(handle, text) {
    await this.script('(element) => { element.scrollIntoView({ block: "center", behavior: "instant" }); element.focus(); element.select(); }', handle);
    // Backspace over the selection; the driver's own "clear" would tell the page of a change nobody made.
    await this.send('POST', `/element/${handle[ELEMENT]}/value`, { text: `\uE003${text}` });
  }

  async press(handle) {
    await this.script('(element) => element.scrollIntoView({ block: "center", behavior: "instant" })', handle);
    await this.send('POST', `/element/${handle[ELEMENT]}/click`, {});
  }

  set(handle, option) {
    return this.script(
      `(element, option) => {
        const found = [...element.options].find((one) => one.text.trim() === option || one.value === option);
        if (!found) throw new Error('no option ' + option);
        element.value = found.value;
        element.dispatchEvent(new Event('input', { bubbles: true }));
        element.dispatchEvent(new Event('change', { bubbles: true }));
      }`,
      handle,
      option,
    );
  }

  property(handle, name) {
    return this.script('(element, name) => element[name]', handle, name);
  }

  with(handle, ask) {
    return this.script(String(ask), handle);
  }

  async give(handle, path) {
    // The real dialog would wait for a person: the press is kept, the dialog is not opened.
    await this.evaluate(() => {
      HTMLInputElement.prototype.click = function () {};
    });
    await this.press(handle);
    const input = await until('the file dialog', () => this.query({ css: 'input[data-picker]' }));
    await this.script('(element) => { element.hidden = false; }', input);
    await this.send('POST', `/element/${input[ELEMENT]}/value`, { text: path });
  }

  /** A driven WebKitGTK saves nowhere: what is read is the Blob behind the link that was pressed. */
  async download(action) {
    await this.evaluate(() => {
      const blobs = new Map();
      const make = URL.createObjectURL;
      URL.createObjectURL = (blob) => {
        const url = make.call(URL, blob);
        blobs.set(url, blob);
        return url;
      };
      HTMLAnchorElement.prototype.click = function () {
        window.testSaved = { name: this.download, blob: blobs.get(this.href) };
      };
    });
    await action();
    await this.wait('a saved file', () => Boolean(window.testSaved));
    const { name, base64 } = await this.evaluate(async () => {
      const { name, blob } = window.testSaved;
      delete window.testSaved;
      const bytes = new Uint8Array(await blob.arrayBuffer());
      let text = '';
      for (let i = 0; i < bytes.length; i += 0x8000) text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
      return { name, base64: btoa(text) };
    });
    return { name, bytes: Buffer.from(base64, 'base64') };
  }

  again() {
    return this.send('POST', '/refresh', {});
  }

  async close() {
    if (this.closed) return;
    this.closed = true;
    await this.send('DELETE', '', undefined).catch(() => {});
    try {
      process.kill(-this.process.pid, 'SIGKILL');
    } catch {
      // It ended by itself.
    }
    this.screen?.kill();
  }
}
