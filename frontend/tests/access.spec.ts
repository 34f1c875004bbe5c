// For everyone, and with nobody listening: axe in both lights, the content
// policy, and no request to another host.
import AxeBuilder from '@axe-core/playwright';
import { expect, test, type Page } from '@playwright/test';
import { guessed, keptSheet, newPlot, openSheet, plotByName, quarterAcre, searched, unfold } from './notebook';

async function violations(page: Page): Promise<string[]> {
  const { violations: found } = await new AxeBuilder({ page }).analyze();
  return found.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.target.join(' ')} ${n.failureSummary ?? ''}`));
}

for (const light of ['day', 'night'] as const) {
  for (const size of [
    { width: 390, height: 844 },
    { width: 1440, height: 900 },
  ]) {
    test(`axe finds nothing by ${light} at ${size.width}`, async ({ page, request }) => {
      await page.setViewportSize(size);
      if (light === 'night') await page.addInitScript(() => localStorage.setItem('evenfall.choices', '{"night":true}'));
      await page.goto('/');
      await expect(page.getByText('in all')).toBeVisible();
      expect(await violations(page)).toEqual([]);

      await page.goto('/#/new');
      await expect(page.getByRole('heading', { name: 'Another plot' })).toBeVisible();
      for (const way of ['paste', 'tape', 'file']) {
        await page.getByLabel('How is it measured?').selectOption(way);
        expect(await violations(page)).toEqual([]);
      }

      const plot = await newPlot(request, `Axe ${light} ${size.width}`, quarterAcre);
      await openSheet(page, plot.id);
      await searched(page);
      await unfold(page);
      await page.locator('main dd button').first().click();
      await page.getByRole('button', { name: 'Change the ground' }).click();
      expect(await violations(page)).toEqual([]);

      await page.goto(`/#/seasons/${plot.id}`);
      await expect(page.getByText('No sheet of this plot is kept yet')).toBeVisible();
      expect(await violations(page)).toEqual([]);
      await guessed(request, plot.id, 2000);
      const sheet = await keptSheet(request, plot.id, '2026-09-05');
      await page.goto(`/#/seasons/${plot.id}/${sheet.id}`);
      await page.getByLabel('Used of').first().fill('plenty');
      await page.getByLabel('Used of').first().press('Tab');
      await page.locator('main dd button').first().click();
      expect(await violations(page)).toEqual([]);

      await page.goto('/#/trip');
      await expect(page.getByText('What one leaves in a bag the next takes')).toBeVisible();
      expect(await violations(page)).toEqual([]);
      for (const name of ['Owl Bench', 'Three Stumps']) await page.getByRole('button', { name: `+ ${name}` }).click();
      await expect(page.getByRole('heading', { name: 'Take care' })).toBeVisible();
      await unfold(page);
      await page.locator('main dd button').first().click();
      expect(await violations(page)).toEqual([]);
    });
  }
}

test('asks no other host, and the policy allows no inline script', async ({ page, request, baseURL }) => {
  const strangers: string[] = [];
  const refused: string[] = [];
  page.on('request', (r) => {
    const url = new URL(r.url());
    if (url.protocol.startsWith('http') && url.origin !== baseURL) strangers.push(r.url());
  });
  page.on('console', (m) => {
    if (/Content Security Policy/i.test(m.text())) refused.push(m.text());
  });
  const home = await page.goto('/');
  const policy = home!.headers()['content-security-policy'] ?? '';
  const scripts = /script-src ([^;]*)/.exec(policy)?.[1] ?? /default-src ([^;]*)/.exec(policy)![1]!;
  expect(scripts).toContain("'self'");
  expect(scripts).not.toContain('unsafe-inline');
  expect(scripts).not.toContain("'unsafe-eval'");
  const plot = (await plotByName(request, 'Owl Bench'))!;
  await openSheet(page, plot.id);
  await searched(page);
  await unfold(page);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  expect(strangers).toEqual([]);
  expect(refused).toEqual([]);
});

test('fetches tiles only once their address is entered', async ({ page, request }) => {
  const asked: string[] = [];
  await page.route('**/tiles/**', (route) => {
    asked.push(route.request().url());
    return route.fulfill({ status: 204 });
  });
  const plot = (await plotByName(request, 'Owl Bench'))!;
  await openSheet(page, plot.id);
  await searched(page);
  expect(asked).toEqual([]);
  await page.getByRole('button', { name: 'Imagery' }).click();
  await page.getByRole('button', { name: 'Use these tiles' }).click();
  await expect(page.getByText('Give an https address')).toBeVisible();
  await page.getByLabel('Tile address').fill('/tiles/{z}/{x}/{y}');
  await page.getByLabel('Whose imagery it is').fill('our own flight');
  await page.getByRole('button', { name: 'Use these tiles' }).click();
  await expect.poll(() => asked.length).toBeGreaterThan(0);
});
