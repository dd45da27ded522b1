// What the walk's numbers are compared with: published formulas and the model behind the demo's readings, written down
// here once more, so that nothing of the page's own code judges the page.

/** Linear light of an sRGB code, 0 to 255 (IEC 61966-2-1:1999, 5.2). */
export function linear(code) {
  const v = code / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
}

/** L* of a luminance factor (ISO/CIE 11664-4:2019). */
export function lightness(y) {
  return y > (6 / 29) ** 3 ? 116 * Math.cbrt(y) - 16 : (29 / 3) ** 3 * y;
}

/** Picture tone u, 0 black to 1 white, of a grey sRGB code: L* of its luminance factor over 100. */
export const tone = (code) => lightness(linear(code)) / 100;

/** Readings of the invented harbour series: ink in %, density of the dry print. */
export const readings = [
  [0, 1.43], [3.3, 1.41], [6.7, 1.35], [10, 1.29], [13.3, 1.21], [16.7, 1.08], [20, 0.97], [23.3, 0.85], [26.7, 0.75],
  [30, 0.66], [33.3, 0.57], [36.7, 0.52], [40, 0.45], [43.3, 0.37], [46.7, 0.33], [50, 0.26], [53.3, 0.24], [56.7, 0.19],
  [60, 0.2], [63.3, 0.16], [66.7, 0.15], [70, 0.15], [73.3, 0.15], [76.7, 0.13], [80, 0.12], [83.3, 0.11], [86.7, 0.11],
  [90, 0.11], [93.3, 0.08], [96.7, 0.1], [100, 0.1],
];

/** The patch that the walk spoils: a streak of bare coating lies across it. */
export const badPatch = { index: 17, density: 0.45 };

/** The same readings with the bad patch. */
export const spoiled = readings.map(([ink, density], i) => [ink, i === badPatch.index ? badPatch.density : density]);

/** Print density of an ink code 0 to 1 by the model the readings were drawn from (invented, with noise of 0.01 D). */
export function modelDensity(code) {
  const ink = 2.32 * (1.18 * code - 0.18 * code * code);
  const exposure = 360 * 10 ** (-0.12 - ink);
  return 0.07 + 1.41 * (1 - Math.exp(-((exposure / 78.4) ** 1.08)));
}

/** Print L* of an ink code by that model. */
export const modelLightness = (code) => lightness(10 ** -modelDensity(code));

/** The value a film file holds for an ink code: 65535 clear film, 0 full ink. */
export const fileValue = (code) => Math.round(65535 * (1 - code));

/** `round(mm / 25.4 · ppi)`; an inch is 25.4 mm by the agreement of 1959. */
export const pixels = (mm, ppi) => Math.round((mm / 25.4) * ppi);
