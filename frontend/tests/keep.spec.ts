// What is kept: undo, two browsers on one plot, no network.
import { expect, test } from '@playwright/test';
import { newPlot, openSheet, quarterAcre, readPlot, searched } from './notebook';

test('two browsers do not overwrite each other', async ({ page, browser, request }) => {
  const plot = await newPlot(request, 'Shared', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const other = await browser.newPage();
  await openSheet(other, plot.id);
  await other.getByRole('textbox', { name: 'Name of the plot' }).fill('Named by the other');
  await other.keyboard.press('Enter');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Named by the other');

  await page.getByRole('textbox', { name: 'Name of the plot' }).fill('Named here');
  await page.keyboard.press('Enter');
  const choice = page.getByRole('alertdialog', { name: 'Someone else changed this too' });
  await expect(choice.getByText('Named by the other')).toBeVisible();
  await expect(choice.getByText('Named here')).toBeVisible();
  await choice.screenshot({ path: 'test-results/conflict.png' });
  expect((await readPlot(request, plot.id)).name).toBe('Named by the other');
  await choice.getByRole('button', { name: 'Keep mine' }).click();
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Named here');
  await page.getByRole('button', { name: 'Undo' }).first().click(); // theirs is not lost either
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Named by the other');
  await other.close();
});

test('takes theirs, and undo brings ours back', async ({ page, request }) => {
  const plot = await newPlot(request, 'Given way', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await request.put(`/api/v1/plots/${plot.id}`, { data: { ...plot, name: 'Theirs' }, headers: { 'If-Match': `"${plot.revision}"` } });
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await name.fill('Ours');
  await name.press('Enter');
  await page.getByRole('button', { name: 'Take theirs' }).click();
  await expect(name).toHaveValue('Theirs');
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect(name).toHaveValue('Ours');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Ours');
});

test('keeps changes on the device while the program does not answer', async ({ page, context, request }) => {
  const plot = await newPlot(request, 'Offline', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await context.setOffline(true);
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await name.fill('Renamed offline');
  await name.press('Enter');
  await expect(page.getByText(/kept on this device/)).toBeVisible();
  await context.setOffline(false);
  await expect.poll(async () => (await readPlot(request, plot.id)).name, { timeout: 15_000 }).toBe('Renamed offline');
  await expect(page.getByText('kept', { exact: true })).toBeVisible();
});

test('undo has no end within a sitting', async ({ page, request }) => {
  const plot = await newPlot(request, 'Name 0', quarterAcre);
  await openSheet(page, plot.id);
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  for (let i = 1; i <= 30; i++) {
    await name.fill(`Name ${i}`);
    await name.press('Enter');
  }
  for (let i = 0; i < 30; i++) await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect(name).toHaveValue('Name 0');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Name 0');
});
