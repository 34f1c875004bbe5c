// What was made by mistake can be deleted: asked once, with what goes with it,
// taken back for a while, and never over what somebody else changed.
import { expect, test, type APIRequestContext, type Page } from '@playwright/test';
import { violations } from './axe';
import { guessed, keptSheet, newPlot, openSheet, ownGoods, quarterAcre, readPlot, searched, unfold } from './notebook';

const there = async (request: APIRequestContext, path: string, id: string) => (await request.get(`/api/v1${path}/${id}`)).ok();
/** A deletion is held back for a while, which nobody here waits for. */
const whileLater = (page: Page) => page.clock.fastForward(15_000);
const nobody = async (page: Page) => expect(await violations(page)).toEqual([]);

async function look(page: Page, name: string): Promise<void> {
  for (const [size, width, height] of [['laptop', 1440, 900], ['phone', 390, 844]] as const) {
    await page.setViewportSize({ width, height });
    await page.screenshot({ path: `test-results/${name}-${size}.png` });
  }
  await page.setViewportSize({ width: 1440, height: 900 });
}

test.beforeEach(({ page }) => page.clock.install());

test('deletes a plot with its sheets and measurements, and takes it back before', async ({ page, request }) => {
  const plot = await newPlot(request, 'Made by mistake', quarterAcre);
  await guessed(request, plot.id, 2000);
  const sheet = await keptSheet(request, plot.id, '2026-09-05');
  await openSheet(page, plot.id);
  await searched(page);
  const remove = async () => {
    await page.getByRole('button', { name: 'Delete the plot Made by mistake' }).click();
    await expect(page.getByText('Delete Made by mistake with its 2 measurements and its 1 kept sheet', { exact: false })).toBeVisible();
    await expect(page.getByRole('button', { name: 'No, leave it' })).toBeFocused();
    await page.getByRole('button', { name: 'Yes, delete' }).click();
  };
  await page.getByRole('button', { name: 'Delete the plot Made by mistake' }).click();
  await look(page, 'delete-plot-question');
  await page.getByRole('button', { name: 'No, leave it' }).click();
  await remove();
  await expect(page.getByRole('heading', { name: 'Evenfall' })).toBeVisible();
  await expect(page.getByRole('link', { name: /Made by mistake/ })).toBeHidden();
  await look(page, 'delete-plot-held');
  await nobody(page);
  await page.goBack();
  await expect(page.getByRole('heading', { name: 'This plot is deleted' })).toBeVisible();
  await page.getByRole('button', { name: 'Take back the plot Made by mistake' }).click();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Made by mistake');
  await searched(page);
  expect(await there(request, '/plots', plot.id)).toBe(true);

  await remove();
  await whileLater(page);
  await expect.poll(() => there(request, '/plots', plot.id)).toBe(false);
  expect(await there(request, '/sheets', sheet.id)).toBe(false);
  await expect(page.getByRole('button', { name: /Take back/ })).toBeHidden();
  await page.reload();
  await expect(page.getByText('in all')).toBeVisible();
  await expect(page.getByRole('link', { name: /Made by mistake/ })).toBeHidden();
});

test('does not delete a plot that somebody else changed meanwhile', async ({ page, request }) => {
  const plot = await newPlot(request, 'Wanted elsewhere', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const kept = await readPlot(request, plot.id);
  await page.getByRole('button', { name: 'Delete the plot Wanted elsewhere' }).click();
  await page.getByRole('button', { name: 'Yes, delete' }).click();
  await request.put(`/api/v1/plots/${plot.id}`, { data: { ...kept, name: 'Wanted after all' }, headers: { 'If-Match': `"${kept.revision}"` } });
  await whileLater(page);
  await expect(page.getByText('the plot Wanted elsewhere is not deleted. somebody changed it meanwhile', { exact: false })).toBeVisible();
  await expect(page.getByRole('link', { name: /Wanted after all/ })).toBeVisible();
  await look(page, 'delete-refused');
  await nobody(page);
  await page.getByRole('button', { name: 'I have read it' }).click();
  expect(await there(request, '/plots', plot.id)).toBe(true);
});

test('deletes a plot without a signal once the signal is back, though the page was loaded anew', async ({ page, context, request }) => {
  await page.goto('/');
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await expect.poll(() => page.evaluate(() => caches.keys().then((names) => names.some((name) => name.includes('precache'))))).toBe(true);
  const plot = await newPlot(request, 'Deleted in the field', quarterAcre);
  await page.reload();
  await openSheet(page, plot.id);
  await searched(page);
  await context.setOffline(true);
  await page.getByRole('button', { name: 'Delete the plot Deleted in the field' }).click();
  await page.getByRole('button', { name: 'Yes, delete' }).click();
  await whileLater(page);
  await expect(page.getByText('as soon as the program answers')).toBeVisible();
  await page.reload();
  await expect(page.getByText('No signal, or the program is not running.')).toBeVisible();
  await expect(page.getByRole('link', { name: /Deleted in the field/ })).toBeHidden();
  await expect(page.getByRole('button', { name: 'Take back the plot Deleted in the field' })).toBeVisible();
  expect(await there(request, '/plots', plot.id)).toBe(true);
  await context.setOffline(false);
  await expect.poll(() => there(request, '/plots', plot.id), { timeout: 40_000 }).toBe(false);
});

test('deletes a spreader, a mix, a measurement and a kept sheet where they are chosen or listed', async ({ page, request }) => {
  const goods = await ownGoods(request, 'Mistaken');
  const plot = await newPlot(request, 'Full of mistakes', quarterAcre, { spreader_id: goods.spreader.id, mix_id: goods.mix.id });
  const sheet = await keptSheet(request, plot.id, '2026-09-05', goods);
  await guessed(request, plot.id, 2000);
  const other = await newPlot(request, 'Another user', quarterAcre, { spreader_id: goods.spreader.id });
  await openSheet(page, plot.id);
  await searched(page);
  await unfold(page);
  await expect(page.getByText('Mistaken hopper cannot be deleted while it is used on Another user.')).toBeVisible();

  await page.getByRole('button', { name: 'Delete the mix Mistaken mix' }).click();
  await page.getByRole('button', { name: 'Yes, delete' }).click();
  await expect(page.getByLabel('Which mix').locator('option', { hasText: 'Mistaken mix' })).toHaveCount(0);
  await page.getByRole('button', { name: 'Take back the mix Mistaken mix' }).click();
  await expect(page.getByLabel('Which mix').locator('option:checked')).toHaveText('Mistaken mix');
  await page.getByRole('button', { name: 'Delete the mix Mistaken mix' }).click();
  await page.getByRole('button', { name: 'Yes, delete' }).click();

  const measurement = page.getByRole('listitem').filter({ hasText: 'guessed' });
  await measurement.getByRole('button', { name: /^Delete the measurement of/ }).click();
  await measurement.getByRole('button', { name: 'Yes, delete' }).click();
  await expect(measurement).toBeHidden();
  await look(page, 'delete-several');

  await page.getByRole('link', { name: 'All seasons of this plot' }).click();
  await page.getByRole('button', { name: 'Delete the sheet of 5 September 2026' }).click();
  await look(page, 'delete-season');
  await page.getByRole('button', { name: 'Yes, delete' }).click();
  await expect(page.getByText('No sheet of this plot is kept yet')).toBeVisible();
  await whileLater(page);
  await expect.poll(() => there(request, '/sheets', sheet.id)).toBe(false);
  await expect.poll(() => there(request, '/mixes', goods.mix.id)).toBe(false);
  const surveys = (await (await request.get(`/api/v1/surveys?plot_id=${plot.id}`)).json()) as { items: { method: string }[] };
  expect(surveys.items.map((one) => one.method)).toEqual(['drawn']);
  expect((await readPlot(request, plot.id)).mix_id).not.toBe(goods.mix.id);

  const { revision } = await readPlot(request, other.id);
  await request.delete(`/api/v1/plots/${other.id}`, { headers: { 'If-Match': `"${revision}"` } });
  await page.getByRole('link', { name: 'The sheet', exact: true }).click();
  await page.reload();
  await searched(page);
  await expect(page.getByText('kept', { exact: true })).toBeVisible();
  await page.getByText('The machine', { exact: true }).click();
  await page.getByRole('button', { name: 'Delete the spreader Mistaken hopper' }).click();
  await page.getByRole('button', { name: 'Yes, delete' }).click();
  await whileLater(page);
  await expect.poll(() => there(request, '/spreaders', goods.spreader.id)).toBe(false);
  await expect(page.getByText('kept', { exact: true })).toBeVisible();
});
