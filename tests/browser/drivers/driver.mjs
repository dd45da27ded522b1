// The small interface that a walk is written against, once for all engines.
//
//   open(address)             loads the page and waits until its module runs
//   at(station)               goes to a station; what follows is looked for inside it (at(null): on the whole page)
//   fill(label, text)         types a text into the control of that label, in place of what was there
//   choose(label, option)     chooses an option of a select by its text
//   tick(label, on = true)    sets a tick or takes it away; a radio button is only set
//   click(role, name)         presses
//   text(css)                 what an element or control says
//   has(role, name)           whether it can be seen now
//   upload(role, name, path)  presses what opens a file dialog, and gives it a file
//   download(action)          runs an action that saves a file; { name, bytes: Buffer }
//   evaluate(function, arg)   runs a function inside the page; it must not need anything from outside
//   wait(what, function, arg) waits until a function inside the page gives something true
//   reload(), kill(), start() reloads; ends the whole browser at once; starts it again with the same profile
//   close()
//
// A driver offers: goto, query(what) -> handle, type, press, set, give, download, evaluate, reload, kill, start, close.
import { until } from '../harness.mjs';
import { read } from './find.mjs';

export class Driver {
  /** What the driver cannot do, with the reason; a test says "not run" then. */
  cannot = {};
  #within = null;

  async open(address) {
    await this.goto(address);
    await this.ready();
  }

  ready() {
    return this.wait('the module to run', () => document.documentElement.dataset.page === 'ready');
  }

  async at(station) {
    this.#within = station && `#${station}`;
    if (!station) return;
    await this.evaluate((station) => void (location.hash = station), station);
    await this.wait(`the station ${station}`, (id) => document.getElementById(id)?.getClientRects().length > 0, station);
  }

  async #one(what) {
    const within = what.within ?? this.#within;
    return until(JSON.stringify(what), () => this.query({ ...what, within }));
  }

  async fill(label, text) {
    await this.type(await this.#one({ label }), text);
  }

  async choose(label, option) {
    await this.set(await this.#one({ label }), option);
  }

  async tick(label, on = true) {
    const handle = await this.#one({ label });
    if ((await this.property(handle, 'checked')) !== on) await this.press(handle);
  }

  async click(role, name) {
    await this.press(await this.#one({ role, name }));
  }

  async text(css) {
    return this.with(await this.#one({ css }), read);
  }

  async has(role, name) {
    return (await this.query({ role, name, within: this.#within })) !== null;
  }

  async upload(role, name, path) {
    await this.give(await this.#one({ role, name }), path);
  }

  wait(what, ask, arg) {
    return until(what, () => this.evaluate(ask, arg).catch(() => false));
  }

  async reload() {
    await this.again();
    await this.ready();
  }
}

/** Runs inside the page: chooses an option of a select as a person would. */
export function chooseOption({ element, option }) {
  const found = [...element.options].find((one) => one.text.trim() === option || one.value === option);
  if (!found) throw new Error(`no option ${option}`);
  element.value = found.value;
  element.dispatchEvent(new Event('input', { bubbles: true }));
  element.dispatchEvent(new Event('change', { bubbles: true }));
}
