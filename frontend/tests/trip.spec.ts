// A day with several plots: in the order of driving, out of shared bags, with
// and without a signal.
import { expect, test, type Page } from '@playwright/test';
import { figure, firstProperty, ownGoods, quarterAcre } from './notebook';

const order = (page: Page) => page.locator('ol .name').allInnerTexts();
const add = (page: Page, name: string) => page.getByRole('button', { name: `+ ${name}` }).click();

test.beforeEach(async ({ page }) => {
  await page.goto('/');
  await page.getByRole('link', { name: 'A day with several plots' }).click();
  await expect(page.getByRole('heading', { name: 'A day with several plots' })).toBeVisible();
});

test('teaches while no plot is chosen', async ({ page }) => {
  await expect(page.getByText('What one leaves in a bag the next takes')).toBeVisible();
  await expect(page.getByRole('heading', { name: 'To buy and to carry' })).toBeHidden();
});

test('shares the bags in the order of driving, with one mix or one for each', async ({ page, request }) => {
  await ownGoods(request, 'Day');
  await page.reload();
  await add(page, 'Owl Bench');
  await add(page, 'Three Stumps');
  await page.getByLabel('What goes on', { exact: true }).selectOption('one');
  await page.getByLabel('The mix for all').selectOption({ label: 'Day mix' });
  await expect(page.getByRole('heading', { name: 'To buy and to carry' })).toBeVisible();
  const second = page.getByRole('region', { name: 'Three Stumps' }).last();
  await expect(second.getByText(/left in bag 1/).first()).toBeVisible();
  await expect(page.getByText(/Bought together \d+ bags are enough; plot by plot it would be \d+/)).toBeVisible();
  await expect(second.getByRole('heading', { name: /Load|filling/ }).first()).toBeVisible();

  // By keyboard: the second goes first, and opens bag 1.
  await page.getByRole('button', { name: 'Three Stumps earlier' }).press('Enter');
  expect((await order(page))[0]).toContain('Three Stumps');
  await expect(page.getByText('Three Stumps is now number 1')).toBeAttached();
  await expect(second.getByText(/open bag 1|open bags 1/).first()).toBeVisible();

  await page.getByLabel('What goes on', { exact: true }).selectOption('each');
  await page.getByLabel('Mix on Owl Bench').selectOption({ label: 'Buckwheat and browntop millet, summer' });
  await expect(page.getByRole('region', { name: 'Owl Bench' }).last()).toContainText(/buckwheat/i);
  await expect(page.getByText(/^Owl Bench: .*nitrogen/).first()).toBeVisible(); // urea's hazard, for this plot alone

  await page.getByRole('button', { name: 'Take Owl Bench out' }).click();
  expect(await order(page)).toHaveLength(1);
});

test('takes a plot that is not in the notebook, and says what is wrong beside it', async ({ page, request }) => {
  await ownGoods(request, 'Neighbour');
  await page.reload();
  await page.getByText('A plot that is not in the notebook').click();
  await page.getByLabel('Name').fill('The neighbour’s corner');
  await page.getByLabel('Size').fill('0.3 ac');
  await page.getByLabel('Size').press('Tab');
  await page.getByRole('button', { name: 'Add this plot' }).click();
  await page.getByLabel('Mix on The neighbour’s corner').selectOption({ label: 'Neighbour mix' });
  await expect(figure(page, 'In all')).toHaveText('150 lb'); // a bag of oats and two of fertilizer
  await page.getByLabel('The truck or trailer carries').fill('10 lb');
  await page.getByLabel('The truck or trailer carries').press('Tab');
  await expect(page.getByText(/more than the 10 lb that may be carried/)).toBeVisible();
  await expect(page.getByLabel('The truck or trailer carries')).toHaveAttribute('aria-invalid', 'true');
  await page.getByLabel('The truck or trailer carries').fill('110 lb');
  await page.getByLabel('The truck or trailer carries').press('Tab');
  await expect(page.getByRole('heading', { name: /^Run 2/ })).toBeVisible();
});

test('every figure of the day says where it comes from, in either units', async ({ page }) => {
  await add(page, 'Owl Bench');
  await add(page, 'The Long Ride');
  await expect(figure(page, 'In all')).toContainText('lb');
  const buttons = page.locator('main dd button');
  expect(await buttons.count()).toBeGreaterThan(6);
  for (const button of await buttons.all()) {
    await button.click();
    await expect(page.locator(`[id="${await button.getAttribute('aria-controls')}"]`)).toHaveText(/\w{3,}/);
    await button.click();
  }
  await page.getByRole('button', { name: 'm, kg' }).click();
  await expect(figure(page, 'In all')).toContainText('kg');
  expect((await page.locator('main .figure').allInnerTexts()).filter((words) => / (ac|lb|lb\/ac)\b/.test(words))).toEqual([]);
});

test('prints the day without the entries', async ({ page }) => {
  await add(page, 'Owl Bench');
  await expect(page.getByRole('button', { name: 'Print the day' })).toBeVisible();
  await page.emulateMedia({ media: 'print' });
  await expect(page.getByLabel('What goes on', { exact: true })).toBeHidden();
  await expect(page.getByRole('button', { name: 'Owl Bench earlier' })).toBeHidden();
  await expect(page.getByRole('heading', { name: 'Take care' })).toBeVisible();
  await expect(page.getByText(/stays in it|all of it/).first()).toBeVisible();
});

test('works without a signal', async ({ page, context }) => {
  await add(page, 'Owl Bench');
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await expect.poll(() => page.evaluate(() => caches.keys().then((names) => names.some((name) => name.includes('precache'))))).toBe(true);
  await page.reload();
  await expect(figure(page, 'In all')).toContainText('lb');
  const before = await figure(page, 'In all').innerText();
  await context.setOffline(true);
  await page.reload();
  await expect(figure(page, 'In all')).toHaveText(before);
  await page.getByText('A plot that is not in the notebook').click();
  await page.getByLabel('Name').fill('Seen on the way');
  await page.getByLabel('Size').fill('3 ac');
  await page.getByLabel('Size').press('Tab');
  await page.getByRole('button', { name: 'Add this plot' }).click();
  await expect(page.getByRole('region', { name: 'Seen on the way' }).last()).toContainText('bag');
  await expect(figure(page, 'In all')).not.toHaveText(before);
});

test('one outline that is refused hides no other plot', async ({ page, request }) => {
  const property_id = await firstProperty(request);
  const crossed = quarterAcre.map((_, i) => quarterAcre[[0, 2, 1, 3, 0][i]!]!);
  const record = { id: '01900000-0000-7000-8000-00000000c055', revision: 0, created_at: '', updated_at: '', property_id, name: 'Crossed', outline: { type: 'Polygon', coordinates: [crossed] } };
  await page.evaluate((one) => localStorage.setItem(`evenfall.unsent.${one.id}`, JSON.stringify({ path: '/plots', record: one, drawn: true })), record);
  await page.reload();
  await expect(page.getByText(/Crossed.*cannot be measured.*move one of these corners/)).toBeVisible();
  await add(page, 'Owl Bench');
  await page.goto('/#/');
  await expect(page.getByRole('link', { name: /no shape.*Crossed.*cannot be measured.*move one of these corners.*not kept: see above/s })).toBeVisible();
  await expect(page.getByRole('link', { name: /Owl Bench/ }).first()).toContainText('ac');

  // Where the program refuses it for that very reason, the reason is said once.
  const now = '2026-11-25T00:00:00Z';
  await page.evaluate((one) => localStorage.setItem(`evenfall.unsent.${one.id}`, JSON.stringify({ path: '/plots', record: one, drawn: true })), { ...record, created_at: now, updated_at: now });
  await page.reload();
  await expect(page.getByRole('link', { name: /no shape.*Crossed.*not kept: see above/s })).toBeVisible();
  await expect(page.getByText(/move one of these corners/)).toHaveCount(1);
  await page.setViewportSize({ width: 390, height: 844 });
  await page.screenshot({ path: 'test-results/refused-once-phone.png' });
});
