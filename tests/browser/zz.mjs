const { load, open } = await import('/work/wt/light/tests/browser/chromium.mjs');
const { serve, testSite, save } = await import('/work/wt/light/tests/browser/harness.mjs');
const ends = []; const t = { after: (e) => ends.unshift(e), diagnostic() {} };
const server = await serve(t, testSite);
for (const width of [320, 1440]) {
  const { page } = await open(t, { viewport: { width, height: 900 } });
  await load(page, server.origin);
  await page.evaluate(() => { location.hash = 'light'; });
  const s = page.locator('#light'); await s.waitFor({ state: 'visible' });
  await page.evaluate(() => document.querySelectorAll('#light details').forEach((d) => { d.open = !d.classList.contains('working') && !d.classList.contains('guide'); }));
  for (const [n, v] of [['setup.time','6:00'],['change','0.33'],['setup.meter','10'],['meter','6'],['setup.cold','6'],['setup.warmer','7.57'],['known.law.pairs','10 6:00\n2.5 33:56']]) await page.evaluate(([n, v]) => { const f = document.querySelector(`#light [name="${n}"]`); f.value = v; f.dispatchEvent(new Event('input', { bubbles: true })); }, [n, v]);
  await page.evaluate(() => document.querySelector('#light [name="setup.starts_cold"]').click());
  await page.waitForTimeout(800);
  console.log(width, await page.evaluate(() => document.documentElement.scrollWidth - innerWidth), await page.evaluate(() => [...document.querySelectorAll('#light .table')].filter((e) => e.scrollWidth > e.clientWidth + 1 && e.clientWidth).map((e) => `${e.getAttribute('aria-label')} ${e.scrollWidth}/${e.clientWidth}`)));
  await save(`zl-${width}-answers.png`, await s.locator('> .answers').first().screenshot({ timeout: 8000 }));
  await save(`zl-${width}-lamp.png`, await page.locator('#light-lamp-heading + .questions').screenshot({ timeout: 8000 }));
}
process.exit(0);
