// An invented process to try the tone station on: a film is printed, the print scanned, each with its faults. Only the
// size of the faults follows what is usual (common practice, no source).
import { lightness } from './walk-model.mjs';
import { tiff } from './walk-files.mjs';

/** L* of a density (ISO/CIE 11664-4 of the factor 10^-D). */
export const ofDensity = (density) => lightness(10 ** -density);
/** Luminance factor of an L*, the other way. */
const factor = (l) => (l > 8 ? ((l + 16) / 116) ** 3 : l * (3 / 29) ** 3);

/** An ink that saturates over a paper with a long toe: L* of the print for an ink code 0 to 1. */
export function saturating(code) {
  const ink = (2.3 * (1 - Math.exp(-0.9 * code))) / (1 - Math.exp(-0.9));
  return ofDensity(0.08 + 1.36 * (1 - Math.exp(-(10 ** (0.6 - ink)))) ** 1.15);
}

/** Random numbers, always the same: even in 0 to 1, and normal (Box and Muller, 1958). */
export function random(seed) {
  let state = seed >>> 0 || 1;
  const even = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 4294967296;
  };
  return { even, normal: () => Math.sqrt(-2 * Math.log(even())) * Math.cos(2 * Math.PI * even()) };
}

/** Where a chart of 41 patches has its field, its masked spot and its corner marks, in mm on the print. */
export function layoutOf([width, height]) {
  const field = { left: 4, top: 14, across: (width - 8) / 7, down: (height - 28) / 6, columns: 7, rows: 6 };
  const masked = { left: width - 49, top: height - 13, width: 16, height: 8 };
  const [right, bottom] = [width - 9, height - 9];
  return { coat: [width, height], field, masked, marks: [[9, 9], [right, 9], [right, bottom], [9, bottom]] };
}
export const layout = layoutOf([127, 101.6]);

/**
 * A print of a chart film, through a process: L* at x, y in mm, `null` beside the coat. `noise` is drawn once a patch,
 * `tape` covers the spot for it.
 */
export function print(film, { shape = saturating, noise = 0.6, tape = true, seed = 1, on = layout } = {}) {
  const perMm = film.ppi / 25.4;
  const { field, masked, coat } = on;
  const { normal } = random(seed);
  const patches = Array.from({ length: field.columns * field.rows }, () => noise * normal());
  const table = Float64Array.from({ length: 65536 }, (_, value) => shape(1 - value / 65535));
  const within = (x, y, { left, top, width, height }) => x >= left && x < left + width && y >= top && y < top + height;
  return (x, y) => {
    // The coat is brushed 3 mm wider than the film and turns black there.
    if (x < -3 || y < -3 || x > coat[0] + 3 || y > coat[1] + 3) return null;
    if (tape && within(x, y, masked)) return table[0];
    const [fx, fy] = [Math.floor(x * perMm), Math.floor(y * perMm)];
    if (fx < 0 || fy < 0 || fx >= film.width || fy >= film.height) return table[65535];
    const l = table[film.at(film.width - 1 - fx, fy)];
    const [column, row] = [Math.floor((x - field.left) / field.across), Math.floor((y - field.top) / field.down)];
    if (column < 0 || row < 0 || column >= field.columns || row >= field.rows) return l;
    return l + patches[row * field.columns + column];
  };
}

/** Densities of a grey scale that lies on the glass below the print, and its size in mm. */
export const greyScale = { densities: Array.from({ length: 17 }, (_, i) => 0.04 + 0.1 * i), step: [6.5, 8] };

/**
 * A scan of a print with a grey scale below it: 16-bit codes row by row, and the corners of chart and scale in pixels.
 * The picture is taken from a little aside (`keystone`, `turn`), shaded, with stray light and noise; `ripple` is a wave
 * across the glass under the print that no smooth shading takes away.
 */
export function scan(printed, options = {}) {
  const all = { perMm: 7, around: 20, gamma: 2.2, flare: 0.012, shading: 0.04, ripple: 0, keystone: 1.2e-4, turn: 0.02, gain: 0.97, seed: 9, on: layout, ...options };
  const { perMm, around, gamma, flare, ripple, keystone, turn, gain } = all;
  const [w, h] = all.on.coat;
  const [width, height] = [Math.round(perMm * (w + 2 * around)), Math.round(perMm * (h + 2 * around + 18))];
  const middle = [w / 2, h / 2];
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  // From mm of the chart to pixels, and back: turned about the chart's middle, then seen from aside.
  const seen = ([x, y]) => {
    const [a, b] = [x - middle[0], y - middle[1]];
    const [u, v] = [cos * a - sin * b, sin * a + cos * b];
    const d = 1 + keystone * u;
    return [perMm * (around + middle[0] + u / d), perMm * (around + middle[1] + v / d)];
  };
  const back = (px, py) => {
    const [p, q] = [px / perMm - around - middle[0], py / perMm - around - middle[1]];
    const u = p / (1 - keystone * p);
    const v = q * (1 + keystone * u);
    return [cos * u + sin * v + middle[0], -sin * u + cos * v + middle[1]];
  };
  const { densities, step } = greyScale;
  const steps = densities.map(ofDensity);
  const [scaleX, scaleY] = [around + (w - step[0] * steps.length) / 2, h + 2 * around + 3];
  const { even } = random(all.seed);
  const codes = new Uint16Array(width * height);
  for (let j = 0; j < height; j++) {
    const v = (2 * (j + 0.5)) / height - 1;
    const down = (j + 0.5) / perMm - scaleY;
    for (let i = 0; i < width; i++) {
      const falls = (down > -3 ? 1 : 1 - ripple * Math.sin(i / perMm / 5 + 2)) * lamp(all, (2 * (i + 0.5)) / width - 1, v);
      let l;
      if (down > -3) {
        const n = Math.floor(((i + 0.5) / perMm - scaleX) / step[0]);
        l = n >= 0 && n < steps.length && down >= 0 && down < step[1] ? steps[n] : 60;
      } else {
        // The paper is a little lighter than what prints lightest on it, and has a grain.
        l = (printed(...back(i + 0.5, j + 0.5)) ?? 94.5) + 3 * (even() - 0.5);
      }
      const light = gain * falls * ((factor(l) + 0.45 * flare) / (1 + flare));
      codes[j * width + i] = 65535 * Math.min(1, Math.max(0, light + 6e-4 * (even() - 0.5))) ** (1 / gamma) + 0.5;
    }
  }
  // A few specks of dust, light and dark.
  for (let n = 0; n < 60; n++) {
    const [x, y, value] = [Math.floor(even() * width), Math.floor(even() * height), even() < 0.5 ? 4000 : 63000];
    for (const at of [0, 1, width, width + 1]) codes[Math.min(codes.length - 1, y * width + x + at)] = value;
  }
  const corners = (places) => places.map(([x, y]) => [Math.round(perMm * x), Math.round(perMm * y)]);
  const wide = step[0] * steps.length;
  return {
    width,
    height,
    codes,
    at: seen,
    marks: all.on.marks.map(seen),
    scale: corners([[scaleX, scaleY], [scaleX + wide, scaleY], [scaleX + wide, scaleY + step[1]], [scaleX, scaleY + step[1]]]),
  };
}

/** How a scanner's lamp falls off towards the edges of the glass, -1 to 1 across and down. */
const lamp = ({ shading }, u, v) => 1 - shading * (0.6 * u * u + 0.3 * v * v + 0.1 * u);

/** A scan of a blank white sheet by the same lamp. */
export function blankSheet({ width, height }, { shading, gamma = 2.2, gain = 0.97 }) {
  const codes = new Uint16Array(width * height);
  for (let j = 0; j < height; j++) {
    for (let i = 0; i < width; i++) {
      const light = gain * factor(96) * lamp({ shading }, (2 * (i + 0.5)) / width - 1, (2 * (j + 0.5)) / height - 1);
      codes[j * width + i] = 65535 * light ** (1 / gamma) + 0.5;
    }
  }
  return { width, height, codes };
}

/**
 * A print of somebody's chart on the same coat: a field of `columns` by `rows` patches with gaps of paper; `code` says
 * the ink of a column and row. Its outer corners in mm.
 */
export function otherChart({ columns, rows, code, noise = 0.3, seed = 3 }) {
  const [left, top, across, down] = [14, 12, 99 / columns, 76 / rows];
  const { normal } = random(seed);
  const patches = Array.from({ length: columns * rows }, () => noise * normal());
  const printed = (x, y) => {
    const [column, row] = [Math.floor((x - left) / across), Math.floor((y - top) / down)];
    if (column < 0 || row < 0 || column >= columns || row >= rows) return null;
    const [u, v] = [(x - left) / across - column, (y - top) / down - row];
    if (Math.min(u, 1 - u, v, 1 - v) < 0.1) return null;
    return saturating(code(column, row)) + patches[row * columns + column];
  };
  const [right, bottom] = [left + 99, top + 76];
  return { printed, corners: [[left, top], [right, top], [right, bottom], [left, bottom]] };
}

/** Another picture of the same pixels: `from` says which pixel stands at x, y of a picture of that size. */
export function moved(picture, width, height, from) {
  const codes = new Uint16Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [a, b] = from(x, y);
      codes[y * width + x] = picture.codes[b * picture.width + a];
    }
  }
  return { ...picture, width, height, codes };
}

/** The same picture with other codes. */
export const recoded = (picture, change) => ({ ...picture, codes: picture.codes.map(change) });

/** A grey TIFF of 16 bits without a profile. */
export function greyTiff16({ width, height, codes }) {
  const pixels = Buffer.from(codes.buffer, codes.byteOffset, codes.byteLength);
  const fields = [[256, 4, width], [257, 4, height], [258, 3, 16], [259, 3, 1], [262, 3, 1], [273, 4, 'pixels'], [277, 3, 1],
    [278, 4, height], [279, 4, pixels.length]];
  return tiff(fields, pixels);
}
