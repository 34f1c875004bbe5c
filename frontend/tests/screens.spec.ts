// Pictures of the pages, to be looked at: every page at both sizes and in both
// lights, in test-results.
import { expect, test } from '@playwright/test';
import { keptSheet, named, openSheet, plotByName, searched, thrownAway } from './notebook';

const sizes = { laptop: { width: 1440, height: 900 }, phone: { width: 390, height: 844 } };

for (const [size, viewport] of Object.entries(sizes)) {
  for (const light of ['day', 'night']) {
    test(`pictures of the pages on a ${size} by ${light}`, async ({ browser, request, baseURL }) => {
      const context = await browser.newContext({ viewport, baseURL: baseURL!, deviceScaleFactor: size === 'phone' ? 2 : 1 });
      const page = await context.newPage();
      if (light === 'night') await page.addInitScript(() => localStorage.setItem('evenfall.choices', '{"night":true}'));
      await page.goto('/');
      await expect(page.getByText('in all')).toBeVisible();
      await page.screenshot({ path: `test-results/plots-${size}-${light}.png` });
      await openSheet(page, (await plotByName(request, 'Owl Bench'))!.id);
      await searched(page);
      await page.screenshot({ path: `test-results/sheet-${size}-${light}.png` });
      await page.goto('/#/new');
      await expect(page.getByRole('heading', { name: 'Another plot' })).toBeVisible();
      await page.screenshot({ path: `test-results/new-${size}-${light}.png` });
      // A season for as long as it is looked at: the demo stays as it comes.
      const ridden = (await plotByName(request, 'Kettle Edge'))!;
      const goods = { spreader: await named(request, '/spreaders', 'Grey ATV hopper'), mix: await named(request, '/mixes', 'Rye and winter pea cover') };
      const kept = await keptSheet(request, ridden.id, '2026-10-20', goods);
      await page.goto(`/#/seasons/${ridden.id}`);
      await expect(page.getByRole('heading', { name: 'Seasons of Kettle Edge' })).toBeVisible();
      await expect(page.getByText('Newest first')).toBeVisible();
      await page.screenshot({ path: `test-results/seasons-${size}-${light}.png` });
      await thrownAway(request, '/sheets', kept.id);
      await page.goto('/#/trip');
      for (const name of ['Owl Bench', 'Three Stumps']) await page.getByRole('button', { name: `+ ${name}` }).click();
      await expect(page.getByRole('heading', { name: 'Take care' })).toBeVisible();
      await page.screenshot({ path: `test-results/trip-${size}-${light}.png` });
      await context.close();
    });
  }
}
