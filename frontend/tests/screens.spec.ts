// Pictures of the pages, to be looked at: every page at both sizes and in both
// lights, in test-results.
import { expect, test } from '@playwright/test';
import { openSheet, plotByName, searched } from './notebook';

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
      await page.goto('/#/trip');
      for (const name of ['Owl Bench', 'Three Stumps']) await page.getByRole('button', { name: `+ ${name}` }).click();
      await expect(page.getByRole('heading', { name: 'Take care' })).toBeVisible();
      await page.screenshot({ path: `test-results/trip-${size}-${light}.png` });
      await context.close();
    });
  }
}
