// Chromium through playwright-core: most page tests run here, and use the page object directly.
import { spawnSync } from 'node:child_process';
import { readFileSync, readdirSync } from 'node:fs';
import { createRequire } from 'node:module';
import { readFile } from 'node:fs/promises';
import { chromium } from 'playwright-core';
import { PNG } from 'pngjs';
import { sleep, temporaryFolder } from './harness.mjs';

const require = createRequire(import.meta.url);

/** The browser of this machine; CHROMIUM names another one. */
const program =
  process.env.CHROMIUM ??
  ['chromium', 'chromium-browser', 'google-chrome'].flatMap((name) => {
    const found = spawnSync('which', [name], { encoding: 'utf8' }).stdout.trim();
    return found ? [found] : [];
  })[0];

// Sandboxing needs a user that is not root; the other switches keep the browser from talking to anyone.
const flags = [
  '--no-sandbox', '--disable-gpu', '--disable-quic', '--disable-background-networking', '--disable-component-update',
  '--disable-domain-reliability', '--disable-sync', '--no-first-run', '--no-default-browser-check',
  '--force-color-profile=srgb', '--font-render-hinting=none',
];

/**
 * A browser with a profile of its own. `requests` collects every address asked for, `messages` every error on the
 * console; `reopen` starts the same profile again after `close` or `kill`.
 */
export async function open(t, { profile, ...options } = {}) {
  const browser = { profile: profile ?? (await temporaryFolder(t, 'sorrel-chromium-')), requests: [], messages: [] };

  browser.start = async () => {
    browser.context = await chromium.launchPersistentContext(browser.profile, {
      executablePath: program,
      headless: true,
      args: flags,
      viewport: { width: 1024, height: 768 },
      acceptDownloads: true,
      ...options,
    });
    browser.context.on('request', (request) => browser.requests.push(request.url()));
    browser.context.on('page', listen);
    browser.context.pages().forEach(listen);
    browser.page = browser.context.pages()[0] ?? (await browser.context.newPage());
    browser.cdp = await browser.context.newCDPSession(browser.page);
  };
  const listen = (page) => {
    page.on('pageerror', (error) => browser.messages.push(String(error)));
    page.on('console', (message) => message.type() === 'error' && browser.messages.push(message.text()));
  };
  /** Ends the whole process group at once, as a power cut would. */
  browser.kill = async () => {
    process.kill(-processOf(browser.profile), 'SIGKILL');
    await browser.context.close().catch(() => {});
    while (processOf(browser.profile)) await sleep(20);
  };
  /** Its process group: the browser's own process leads it. */
  browser.group = () => processOf(browser.profile);
  browser.close = () => browser.context.close().catch(() => {});
  browser.reopen = async () => {
    await browser.close();
    await browser.start();
  };

  await browser.start();
  t.after(browser.close);
  return browser;
}

/** The browser process of a profile, by its command line. */
function processOf(profile) {
  for (const pid of readdirSync('/proc')) {
    if (!/^\d+$/.test(pid)) continue;
    try {
      const line = readFileSync(`/proc/${pid}/cmdline`, 'utf8').split('\0');
      if (line.includes(`--user-data-dir=${profile}`) && !line.some((word) => word.startsWith('--type='))) return Number(pid);
    } catch {
      // It ended while we looked.
    }
  }
  return null;
}

/** Loads the page and waits until its module runs. */
export async function load(page, address) {
  await page.goto(address);
  await ready(page);
}

/** Waits until the page's module runs. */
export async function ready(page) {
  await page.waitForFunction(() => document.documentElement.dataset.page === 'ready');
}

/** Waits until the whole site is kept on the device; throws with the reason if it is not. */
export async function kept(page) {
  const reason = await page.evaluate(() => new Promise((done) => window.sorrelUpdate.offline(done)));
  if (reason) throw new Error(`the site is not kept: ${reason}`);
}

/** Loads the page in a look. The first load only writes it down. */
export async function loadInLook(page, address, look) {
  await load(page, address);
  await page.evaluate((look) => localStorage.setItem('sorrel-look', look), look);
  await page.reload();
  await ready(page);
}

/** What axe finds on the page as it stands. Needs a browser opened with `bypassCSP`. */
export async function axe(page) {
  const source = await readFile(require.resolve('axe-core/axe.min.js'), 'utf8');
  await page.evaluate((source) => void (window.axe ?? (0, eval)(source)), source);
  const { violations } = await page.evaluate(() => window.axe.run(document, { resultTypes: ['violations'] }));
  return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ target }) => target.join(' ')).slice(0, 5).join(', ')}`);
}

/**
 * A picture of the whole page. The window grows to it, because a layer over the window must cover it as on a screen; a
 * page taller than the browser draws at once is taken in pieces.
 */
export async function wholePage(page) {
  const { width, height } = page.viewportSize();
  const whole = Math.max(height, await page.evaluate(() => document.documentElement.scrollHeight));
  const piece = Math.min(whole, 4000);
  await page.setViewportSize({ width, height: piece });
  const tall = new PNG({ width, height: whole });
  for (let top = 0; top < whole; top += piece) {
    const from = Math.min(top, whole - piece);
    // Drawn only in the frame after the next.
    await page.evaluate((top) => new Promise((drawn) => {
      window.scrollTo({ top, behavior: 'instant' });
      requestAnimationFrame(() => requestAnimationFrame(drawn));
    }), from);
    const part = PNG.sync.read(await page.screenshot());
    PNG.bitblt(part, tall, 0, 0, width, piece, 0, from);
  }
  await page.evaluate(() => window.scrollTo(0, 0));
  await page.setViewportSize({ width, height });
  return PNG.sync.write(tall);
}
