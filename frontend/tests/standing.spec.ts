// What the page does while what is on the desk is disputed, or cannot be worked
// out, or is being made: it prints what it shows, and makes nothing twice.
import { expect, test } from '@playwright/test';
import { bearings } from './hand';
import { figure, newPlot, openSheet, quarterAcre, readPlot, searched } from './notebook';

test('prints the screen while somebody else has another plot', async ({ page, request }) => {
  const plot = await newPlot(request, 'Disputed', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await expect(page.getByRole('link', { name: 'Print' }).first()).toBeVisible();
  const { revision, ...theirs } = await readPlot(request, plot.id);
  await request.put(`/api/v1/plots/${plot.id}`, { data: { ...theirs, name: 'Theirs' }, headers: { 'If-Match': `"${revision}"` } });
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await name.fill('Ours');
  await name.press('Tab');
  await expect(page.getByRole('alertdialog', { name: 'Someone else changed this plot too' })).toBeVisible();
  await expect(page.getByRole('link', { name: 'Print' })).toHaveCount(0);
  await page.evaluate(() => Object.assign(window, { print: () => Object.assign(window, { printed: true }) }));
  await page.getByRole('button', { name: 'Print' }).first().click();
  expect(await page.evaluate(() => (window as unknown as { printed?: boolean }).printed)).toBe(true);
});

test('strikes the figures that no longer hold, and prints none of them', async ({ page, request }) => {
  const plot = await newPlot(request, 'Beyond the compass', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByText('What you want of the drive', { exact: true }).click();
  const along = page.getByLabel('Passes run along');
  await along.fill('400');
  await along.press('Tab');
  await expect(page.locator('.field', { has: along }).locator('.error')).toContainText('lie nowhere on a compass');
  await expect(page.getByRole('button', { name: 'Print' }).first()).toBeDisabled();
  const struck = figure(page, 'Tracks apart');
  await expect(struck).toHaveCSS('text-decoration-line', 'line-through');
  await expect(figure(page, 'Measured')).toHaveCSS('text-decoration-line', 'none'); // the ground is what it was
  await along.fill('40');
  await along.press('Tab');
  await searched(page);
  await expect(struck).toHaveCSS('text-decoration-line', 'none');
});

test('a piece that is cut off keeps off the same lines, and is made once', async ({ page, request }) => {
  const [west, south] = quarterAcre[0]!;
  const creek = { name: 'Creek', line: [[west, south], [west + 0.0005, south]], distance_m: 5, for: 'both' };
  const plot = await newPlot(request, 'Cut once', quarterAcre, { keep_off: [creek] });
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  await page.getByRole('button', { name: 'Cut in two' }).click();
  const where = await bearings(page);
  const [from, to] = [where([west + 0.00025, south - 0.00005]), where([west + 0.0003, quarterAcre[2]![1] + 0.00004])];
  for (const at of [from, to, to]) {
    await page.mouse.click(at.x, at.y);
    await page.waitForTimeout(320);
  }
  await page.route('**/api/v1/plots/*', async (route) => {
    if (route.request().method() === 'PUT') await new Promise((done) => setTimeout(done, 600));
    await route.continue();
  });
  await page.getByRole('button', { name: 'Cut', exact: true }).dblclick();
  await expect(page.getByText('Cut here?')).toBeHidden();
  await expect(page.getByText('kept', { exact: true }).first()).toBeVisible();
  const { items } = (await (await request.get('/api/v1/plots?limit=200')).json()) as { items: { name: string; keep_off?: { name: string }[] }[] };
  const parts = items.filter((one) => one.name === 'Cut once, part 2');
  expect(parts).toHaveLength(1);
  expect(parts[0]!.keep_off).toMatchObject([{ name: 'Creek', distance_m: 5 }]);
});

test('makes a taped plot once, however often it is pressed', async ({ page, request }) => {
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('Pressed twice');
  await page.getByLabel('How is it measured?').selectOption('tape');
  await page.getByLabel('Length', { exact: true }).fill('40 ft');
  await page.getByLabel('Width', { exact: true }).fill('30 ft');
  await page.getByLabel('Width', { exact: true }).press('Tab');
  await page.getByRole('button', { name: 'Make the outline' }).dblclick();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Pressed twice');
  const { items } = (await (await request.get('/api/v1/plots?limit=200')).json()) as { items: { name: string }[] };
  expect(items.filter((one) => one.name === 'Pressed twice')).toHaveLength(1);
});

test('goes on by keys from the button that comes in the place of one pressed', async ({ page, request }) => {
  const plot = await newPlot(request, 'By keys', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).press('Enter');
  await expect(page.getByRole('button', { name: 'Corners', exact: true })).toBeFocused();
  await page.keyboard.press('Escape');
  await expect(page.getByRole('button', { name: 'Change the ground' })).toBeFocused();
});

test('asks whether a wild guess was meant, and takes another', async ({ page, request }) => {
  const plot = await newPlot(request, 'Guessed wildly', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const guess = page.getByLabel('What would you have guessed?');
  await guess.fill('500');
  await guess.press('Tab');
  await expect(page.getByText('more than 100 times off')).toBeVisible();
  await guess.fill('0.5');
  await guess.press('Tab');
  await expect(page.locator('.guess')).toContainText('Guessed 0.5 ac');
  await page.getByRole('button', { name: 'Guess again' }).click();
  await guess.fill('0.3');
  await guess.press('Tab');
  await expect(page.locator('.guess')).toContainText('Guessed 0.3 ac');
});
