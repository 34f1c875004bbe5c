// The spreader, the mix, the plans, the units, the printed page.
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { expect, test } from '@playwright/test';
import { figure, newPlot, openSheet, quarterAcre, searched } from './notebook';

test.beforeEach(async ({ page, request }, info) => {
  const plot = await newPlot(request, info.title.slice(0, 60), quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
});

const open = (page: import('@playwright/test').Page, fold: string) => page.getByText(fold, { exact: true }).click();

test('does a pan test and uses its pattern', async ({ page }) => {
  await page.getByLabel('Which one').selectOption({ label: 'Grey ATV hopper' });
  await searched(page);
  const throwBefore = await figure(page, 'Throw, edge to edge').innerText();
  await open(page, 'Pan test: how it really throws');
  await page.getByLabel('Number of pans').fill('9');
  await page.getByLabel('Number of pans').press('Enter');
  const caught = [1, 3, 6, 9, 12, 9, 6, 3, 1];
  for (const [i, grams] of caught.entries()) await page.getByLabel(`Caught, left to right, pan ${i + 1}`, { exact: true }).fill(String(grams));
  await expect(page.getByRole('img', { name: /How uneven the spread is/ })).toBeVisible();
  await expect(page.getByRole('rowheader', { name: /widest under the limit/ })).toContainText('ft');
  await page.getByRole('button', { name: 'Use this pattern' }).click();
  await searched(page);
  await expect(figure(page, 'Throw, edge to edge')).not.toHaveText(throwBefore);
  const throwMeasured = await figure(page, 'Throw, edge to edge').innerText();
  await expect(page.getByText(`This pattern is in use: it throws ${throwMeasured}.`)).toBeVisible();
  await open(page, 'The machine');
  const pattern = page.getByLabel('Pattern', { exact: true });
  await expect(pattern).toHaveValue('pans');
  await expect(page.getByText(`Throw, edge to edge: ${throwMeasured}, as the pans caught it`)).toBeVisible();
  await pattern.selectOption('triangle');
  await searched(page);
  await expect(page.getByLabel('Throw, edge to edge').first()).toHaveValue(throwMeasured);
  await expect(page.getByRole('button', { name: 'Use this pattern' })).toBeVisible();
  await pattern.selectOption('pans');
  await expect(page.getByText('This pattern is in use')).toBeVisible();
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect(figure(page, 'Throw, edge to edge')).toHaveText(throwBefore);
});

test('says which pan cannot be read, and how many there may be', async ({ page }) => {
  const errors: string[] = [];
  page.on('console', (said) => said.type() === 'error' && errors.push(said.text()));
  await open(page, 'Pan test: how it really throws');
  await page.getByLabel('Caught, left to right, pan 3', { exact: true }).fill('-5');
  await expect(page.getByText('Pan 3: write what it caught as a number')).toBeVisible();
  await page.getByLabel('Caught, left to right, pan 3', { exact: true }).fill('0,5');
  await expect(page.getByText('Pan 3: write what it caught as a number')).toBeHidden();
  const pans = page.getByLabel('Number of pans');
  await pans.fill('400');
  await pans.press('Enter');
  await expect(page.getByText('Between 3 and 61 pans: 61 are shown')).toBeVisible();
  expect(errors).toEqual([]);
});

test('adds a catch test, and the gate follows', async ({ page }) => {
  await open(page, 'Catch tests: what runs out of the gate');
  const material = page.getByLabel('Material');
  const which = await material.inputValue();
  for (const [gate, pounds] of [['3', '8'], ['6', '24']] as const) {
    await page.getByLabel('Gate mark').fill(gate);
    await page.getByLabel('It weighed').fill(pounds);
    await page.getByLabel('It weighed').press('Tab');
    await page.getByLabel('In', { exact: true }).fill('30');
    await page.getByLabel('In', { exact: true }).press('Tab');
    await page.getByRole('button', { name: 'Add this test' }).click();
    await expect(page.getByRole('button', { name: `Delete the test at gate ${gate}` }).first()).toBeVisible();
  }
  expect(which).not.toBe('');
  await expect(page.getByRole('img', { name: 'What flows at each gate mark' })).toBeVisible();
});

test('chooses a mix, and changes what is in it', async ({ page }) => {
  const mixes = page.getByLabel('Which mix');
  await mixes.selectOption({ label: 'Buckwheat and browntop millet, summer' });
  await searched(page);
  await expect(page.getByRole('heading', { name: /buckwheat/i }).first()).toBeVisible();
  await open(page, 'Change the mix');
  await page.getByLabel('Find a seed or a fertilizer').first().fill('oats');
  await page.getByRole('button', { name: 'Add oats' }).first().click();
  await searched(page);
  await expect(page.getByRole('heading', { name: /^oats/ })).toBeVisible();
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect(page.getByRole('heading', { name: /^oats/ })).toBeHidden();
});

test('offers whole bags for a soil test', async ({ page }) => {
  await open(page, 'Soil test, and the bags that meet it');
  await page.getByLabel('N', { exact: true }).fill('40 lb/ac');
  await page.getByLabel('N', { exact: true }).press('Tab');
  await expect(page.locator('.need')).toContainText('40 lb/ac');
  for (const product of ['13-13-13', '46-0-0']) {
    await page.getByLabel('Which bags can you get?').fill(product);
    await page.getByRole('button', { name: new RegExp(`^\\+ .*${product}`) }).first().click();
  }
  await expect(page.getByRole('heading', { name: 'Closest' })).toBeVisible();
  await page.getByRole('button', { name: 'Take these' }).first().click();
  await searched(page);
  await expect(figure(page, 'Bags').first()).toBeVisible();
});

test('switches to another plan by touching its picture', async ({ page }) => {
  const plans = page.locator('.plan');
  await expect(plans.nth(1)).toBeVisible();
  const other = page.locator('.plan[aria-pressed="false"]').first();
  const name = await other.locator('b').innerText();
  await other.click();
  await searched(page);
  await expect(page.locator('.plan[aria-pressed="true"] b')).toHaveText(name);
});

test('lays the passes along the bearing that is wanted', async ({ page }) => {
  await open(page, 'What you want of the drive');
  const along = page.getByLabel('Passes run along');
  await along.fill('north');
  await along.press('Tab');
  await expect(page.getByText('Write a number, such as 45')).toBeVisible();
  await along.fill('361');
  await along.press('Tab');
  await expect(along).toHaveAccessibleDescription(/passes along 361 degrees lie nowhere on a compass/i);
  await along.fill('0');
  await along.press('Tab');
  await searched(page);
  await expect(figure(page, 'Straight passes run')).toHaveText('0°');
  await expect(along).toHaveValue('0');
});

test('prints a page that says the same as the screen', async ({ page, request }) => {
  const link = page.getByRole('link', { name: 'Print' }).first();
  const pdf = await request.get((await link.getAttribute('href'))!);
  expect(pdf.ok()).toBe(true);
  const file = 'test-results/printed.pdf';
  writeFileSync(file, await pdf.body());
  const text = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
  expect(text).toContain('prints a page that says');
  expect(text).toContain(await figure(page, 'Measured').innerText());
  expect(text.replace(/\s+/g, ' ')).toContain(await figure(page, 'Tracks apart').innerText());
});

test('turns every figure to metric at a touch, and back', async ({ page }) => {
  const figures = page.locator('main .figure');
  await page.getByRole('button', { name: 'm, kg' }).click();
  await searched(page);
  await expect(figure(page, 'Measured')).toHaveText(/ m²$/);
  expect((await figures.allInnerTexts()).filter((words) => / (ac|ft|in|lb|lb\/ac|mph|sq ft)\b/.test(words))).toEqual([]);
  await page.getByRole('button', { name: 'ft, lb' }).click();
  await searched(page);
  await expect(figure(page, 'Measured')).toHaveText(/ ac$/);
});

test('every figure says where it comes from', async ({ page }) => {
  const buttons = page.locator('main dd button');
  const count = await buttons.count();
  expect(count).toBeGreaterThan(15);
  for (const button of await buttons.all()) {
    await button.click();
    const answer = page.locator(`[id="${await button.getAttribute('aria-controls')}"]`);
    await expect(answer).toHaveText(/\w{3,}/);
    await button.click();
  }
});

test('plays the drive with the running load', async ({ page }) => {
  await page.getByRole('button', { name: 'Play the drive' }).click();
  await expect(page.getByText(/in the hopper/)).toBeVisible();
  const slider = page.getByRole('slider');
  const early = Number(await slider.inputValue());
  await expect.poll(async () => Number(await slider.inputValue())).toBeGreaterThan(early);
  await page.getByRole('button', { name: 'Stop' }).click();
});

test('keeps the ground in view on a phone while the drive is played', async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  const ground = page.getByRole('application', { name: /Map of the plot/ });
  await page.getByRole('button', { name: 'Play the drive' }).scrollIntoViewIfNeeded();
  await expect(ground).not.toBeInViewport();
  await page.getByRole('button', { name: 'Play the drive' }).click();
  await expect(ground).toBeInViewport();
  await expect(page.getByText(/(min|s) .*, [\d.]+ (lb|oz) in the hopper/)).toBeVisible();
  await page.getByRole('button', { name: 'Stop' }).click();
  await expect(ground).not.toBeInViewport();
});
