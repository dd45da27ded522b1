// Saves every station in every look on three widths to tests/browser/out, for people to look at: `npm run shots`.
import { loadInLook, open, wholePage } from './chromium.mjs';
import { looks, save, serve, stations, widths } from './harness.mjs';

const ends = [];
const t = { after: (end) => ends.unshift(end) };
try {
  const server = await serve(t);
  for (const width of widths) {
    const { page, close } = await open(t, { viewport: { width, height: width < 700 ? 640 : 800 } });
    for (const look of looks) {
      await loadInLook(page, server.origin, look);
      for (const station of stations) {
        await page.evaluate((station) => (location.hash = station), station);
        await save(`${station}-${look}-${width}.png`, await wholePage(page));
      }
    }
    await close();
  }
} finally {
  for (const end of ends) await end();
}
