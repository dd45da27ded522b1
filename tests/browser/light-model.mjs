// An invented paper to try the light station on: the demonstration's model of density against exposure, behind a step
// tablet; and its scan, with stray light and an uneven lamp.
import { ofDensity, random } from './tone-process.mjs';

/** Seconds behind clear film that give black within 0.03 of the densest. */
export const black = 360;
/** What clear film holds back, in log exposure. */
export const film = 0.12;
/** A tablet of 21 steps of 0.15 on a base of 0.05. */
export const tablet = Array.from({ length: 21 }, (_, i) => 0.05 + 0.15 * i);

/** Density after so many seconds behind clear film and so much more. */
export const density = (seconds, behind = 0) =>
  0.07 + 1.41 * (1 - (0.03 / 1.41) ** (10 ** (1.08 * (Math.log10(seconds / black) - behind))));

/** Readings of a step print of so many seconds, clear end first; `noise` in density. */
export function readings(seconds, noise = 0.01, seed = 1) {
  const { normal } = random(seed);
  return tablet.map((d) => density(seconds, d) + noise * normal());
}

/** From the light end: the number of the lighter step of the first pair that an eye of this keenness cannot tell apart. */
export function seenAlike(seconds, sight = 0.02) {
  for (let i = tablet.length - 1; i > 0; i--) {
    const [darker, lighter] = [density(seconds, tablet[i - 1]), density(seconds, tablet[i])];
    if (lighter > 0.8 && darker - lighter < sight) return i + 1;
  }
  return 1;
}

const [left, top, wide, high] = [6, 10, 7.5, 18];
/** Where the steps lie on their sheet, in mm. */
export const layout = {
  coat: [2 * left + wide * tablet.length, 2 * top + high],
  // A spot that opaque tape covered, beside the steps.
  spot: [[60, 1.5], [80, 8.5]],
  marks: [[left, top], [left + wide * tablet.length, top], [left + wide * tablet.length, top + high], [left, top + high]],
};

/** The print of the tablet: L* at x, y in mm. */
export function stepPrint(seconds, { noise = 0.008, seed = 5, masked = false } = {}) {
  const steps = readings(seconds, noise, seed).map(ofDensity);
  const around = ofDensity(density(seconds));
  return (x, y) => {
    if (x < 0 || y < 0 || x > layout.coat[0] || y > layout.coat[1]) return null;
    const [[x0, y0], [x1, y1]] = layout.spot;
    if (masked && x >= x0 && x < x1 && y >= y0 && y < y1) return ofDensity(0.07);
    const n = Math.floor((x - left) / wide);
    return n >= 0 && n < steps.length && y >= top && y < top + high ? steps[n] : around;
  };
}

/** Seconds of a time as it is shown: 6:00, or 1:02:03. */
export const seconds = (text) => text.split(':').reduce((sum, part) => 60 * sum + Number(part), 0);
