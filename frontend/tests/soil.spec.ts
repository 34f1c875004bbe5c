// The soil test that is kept with the plot, and lime scaled for its quality.
import { expect, test, type Page } from '@playwright/test';
import { figure, newPlot, openSheet, ownGoods, quarterAcre, readPlot, searched } from './notebook';

let plotId = '';
test.beforeEach(async ({ page, request }, info) => {
  plotId = (await newPlot(request, info.title.slice(0, 60), quarterAcre)).id;
  await openSheet(page, plotId);
  await searched(page);
  await page.getByText('Soil test, and the bags that meet it', { exact: true }).click();
});

const lime = (page: Page) => page.getByRole('region', { name: 'Lime' });
async function enter(page: Page, label: string, text: string): Promise<void> {
  const field = lime(page).getByLabel(label);
  await field.fill(text);
  await field.press('Tab');
}
const kept = async (request: Parameters<typeof readPlot>[0]) =>
  (await readPlot(request, plotId)) as unknown as { driver: { soil?: { n_kg_per_m2?: number }; lime?: { recommended_kg_per_m2: number; power?: number } } };

test('keeps the soil test with the plot, and holds the mix against it', async ({ page, request }) => {
  const n = page.getByLabel('N', { exact: true });
  await n.fill('40 lb/ac');
  await n.press('Tab');
  await searched(page);
  await expect(page.getByText(/^The mix gives .* N/)).toBeVisible();
  await expect.poll(async () => (await kept(request)).driver.soil?.n_kg_per_m2 ?? 0).toBeCloseTo(40 * 0.45359237 / 4046.8564224, 9);
  await page.getByLabel('The report recommends').selectOption('elements');
  await expect(page.getByLabel('P₂O₅', { exact: true })).toBeHidden();
  const p = page.getByLabel('P', { exact: true });
  await p.fill('20 lb/ac');
  await p.press('Tab');
  await expect(page.locator('.need')).toContainText('P₂O₅ 45.8 lb/ac'); // 20 lb of P as oxide
});

test('takes off what a worked-in legume brings', async ({ page, request }) => {
  const n = page.getByLabel('N', { exact: true });
  await n.fill('40 lb/ac');
  await n.press('Tab');
  await page.getByRole('button', { name: 'Manure or a worked-in legume brings some' }).click();
  await page.getByLabel('What is it?').fill('clover sod');
  await page.getByLabel('What is it?').press('Tab');
  await page.getByLabel('N from it').fill('thirty');
  await page.getByLabel('N from it').press('Tab');
  await expect(page.locator('fieldset', { hasText: 'clover sod' }).locator('[aria-invalid]')).toBeVisible();
  await page.getByLabel('N from it').fill('30 lb/ac');
  await page.getByLabel('N from it').press('Tab');
  await expect(page.getByText(/^That leaves/)).toContainText('N 10 lb/ac');
  await searched(page);
  await expect(page.getByText(/^The mix gives .*; what clover sod brings is counted/)).toBeVisible();
  await expect.poll(async () => ((await kept(request)).driver as { credits?: { from: string }[] }).credits?.[0]?.from).toBe('clover sod');
  await page.locator('fieldset', { hasText: 'clover sod' }).getByRole('button', { name: 'Delete' }).click();
  await expect(page.getByText(/^That leaves/)).toBeHidden();
});

test('scales lime for its power and depth, and puts it into the mix', async ({ page, request }) => {
  await expect(lime(page).getByText('Without a laboratory nobody knows')).toBeVisible();
  await enter(page, 'Lime recommended', '2 tons/ac');
  await expect(figure(page, 'Recommended')).toHaveText(/4,000 lb\/ac|2 tons?\/ac/);
  await lime(page).getByLabel('Your lime').selectOption({ label: 'one with a label of its own' });
  await lime(page).getByLabel('Effective neutralizing power, %').fill('eighty');
  await expect(lime(page).getByText('Write a number, such as 85')).toBeVisible();
  await lime(page).getByLabel('Effective neutralizing power, %').fill('80');
  await expect(figure(page, 'Power of this lime')).toHaveText('80 %');
  await expect(figure(page, 'Spread')).toHaveText(/5,000 lb\/ac|2.5 tons?\/ac/);
  await enter(page, 'You work it in to', '3 1/3 in');
  await expect(figure(page, 'Spread')).toHaveText(/2,500 lb\/ac|1.25 tons?\/ac/);
  await enter(page, 'A bag holds', '40 lb');
  await expect(lime(page).locator('.row', { hasText: /^Bags/ }).locator('.figure')).toContainText('× 40 lb');
  await expect(lime(page).getByText(/Spread lime by itself/)).toBeVisible();
  await lime(page).getByRole('button', { name: 'Keep with the plot' }).click();
  await expect.poll(async () => (await kept(request)).driver.lime?.recommended_kg_per_m2 ?? 0).toBeCloseTo(4000 * 0.45359237 / 4046.8564224, 6);
  await lime(page).getByRole('button', { name: 'Put it into the mix' }).click();
  await searched(page);
  await expect(page.getByRole('heading', { name: /^lime by its label/ })).toBeVisible();
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await searched(page);
  await expect(page.getByRole('heading', { name: /^lime by its label/ })).toBeHidden();
});

test('reads a buffer index off its table, and refuses what the table has not', async ({ page }) => {
  await lime(page).getByLabel('The report gives').selectOption('buffer');
  await enter(page, 'Buffer index', '7');
  await expect(lime(page).getByText(/printed for a buffer index from 6.0 to 6.5/)).toBeVisible();
  await enter(page, 'Buffer index', '6.2');
  await expect(figure(page, 'Recommended')).toHaveText(/4,000 lb\/ac|2 tons?\/ac/);
  for (const button of await lime(page).locator('dd button').all()) {
    await button.click();
    await expect(page.locator(`[id="${await button.getAttribute('aria-controls')}"]`)).toHaveText(/\w{3,}/);
    await button.click();
  }
  await page.getByRole('button', { name: 'm, kg' }).click();
  await expect(figure(page, 'Recommended')).toHaveText(/kg\/ha/);
});

test('keeps a count for the season', async ({ page }) => {
  await page.getByRole('button', { name: 'Keep this sheet' }).click();
  await expect(page.getByRole('link', { name: 'Say what was used' })).toBeVisible();
  await page.getByText('It looks thin? Count and know').click();
  await page.getByLabel(/Seeds found in each throw/).fill('12, 9, 15, 11, 10');
  await page.getByRole('button', { name: 'Keep this count for the season' }).click();
  await expect(page.getByText('kept for the season', { exact: true })).toBeVisible();
  await page.getByRole('link', { name: 'All seasons of this plot' }).click();
  await expect(page.getByText('12, 9, 15, 11, 10')).toBeVisible();
});

/** The figure in lb/ac of a line such as "N short by 12 lb/ac". */
async function pounds(words: string[]): Promise<Record<string, number>> {
  const found: Record<string, number> = {};
  for (const line of words) {
    const [, what, way, rate] = /^(\S+) (over|short) by ([\d.,]+) lb\/ac/.exec(line) ?? [];
    if (what) found[`${what} ${way}`] = Number(rate!.replace(',', ''));
  }
  return found;
}

test('what a card promises is what the mix then gives', async ({ page, request }) => {
  const { mix, spreader } = await ownGoods(request, 'Cards');
  await page.reload();
  await page.getByLabel('Which mix').selectOption({ label: mix.name });
  await searched(page);
  await page.getByText('Soil test, and the bags that meet it', { exact: true }).click();
  for (const [label, rate] of [['N', '40'], ['P₂O₅', '60'], ['K₂O', '0']] as const) {
    const field = page.getByLabel(label, { exact: true });
    await field.fill(rate);
    await field.press('Tab');
  }
  await expect(page.getByLabel('K₂O', { exact: true })).toHaveValue('0 lb/ac');
  await expect(page.locator('.need')).not.toContainText('not given');
  for (const product of ['18-46-0', '46-0-0']) {
    await page.getByLabel('Which bags can you get?').fill(product);
    await page.getByRole('button', { name: new RegExp(`^\\+ .*${product}$`) }).first().click();
  }
  const card = page.getByRole('listitem').filter({ has: page.getByRole('heading', { name: 'Closest' }) });
  await expect(card).toContainText('In place of the mix’s complete fertilizer 13-13-13');
  const promised = await pounds(await card.locator('p').allInnerTexts());
  expect(Object.keys(promised).length).toBeGreaterThan(0);
  await card.getByRole('button', { name: 'Take these' }).click();
  await expect(page.getByText('The bags are in the mix')).toBeVisible();
  await searched(page);
  await expect(page.getByRole('heading', { name: /^complete fertilizer/ })).toBeHidden();
  const kept = (await (await request.get(`/api/v1/plots/${plotId}`)).json()) as { mix_id: string };
  await expect.poll(async () => ((await (await request.get(`/api/v1/mixes/${kept.mix_id}`)).json()) as { document: { items: { material: string }[] } }).document.items.map((i) => i.material)).not.toContain('13-13-13');
  const sheet = (await (await request.get(`/api/v1/plots/${plotId}/sheet?spreader=${spreader.id}`)).json()) as { soil: { over: Record<string, number>; short: Record<string, number> }; materials: { rate_says: string; group: number }[] };
  for (const [what, key] of [['N', 'n_kg_per_m2'], ['P₂O₅', 'p2o5_kg_per_m2'], ['K₂O', 'k2o_kg_per_m2']] as const) {
    for (const way of ['over', 'short'] as const) {
      const given = (sheet.soil[way][key] ?? 0) / (0.45359237 / 4046.8564224);
      expect(Math.abs(given - (promised[`${what} ${way}`] ?? 0)), `${what} ${way}`).toBeLessThan(0.06);
    }
  }
  expect(sheet.materials.every((m) => m.rate_says.endsWith('lb/ac') && m.group === 1)).toBe(true);
});

test('chooses bags of a fertilizer that the catalog lacks', async ({ page, request }) => {
  const { mix } = await ownGoods(request, `Own bags ${test.info().repeatEachIndex}`);
  await page.reload();
  await page.getByLabel('Which mix').selectOption({ label: mix.name });
  await page.getByText('Soil test, and the bags that meet it', { exact: true }).click();
  await page.getByLabel('Which bags can you get?').fill('8-20-30');
  await page.getByRole('button', { name: 'A fertilizer that is not in the catalog' }).click();
  const form = page.locator('fieldset', { hasText: 'In the words of its bag' });
  const weight = form.getByLabel('A full bag weighs');
  await expect(form.getByRole('button', { name: 'Name it' })).toBeDisabled(); // bags are counted by their weight
  await weight.fill('40');
  await weight.press('Tab');
  await expect(form.getByRole('button', { name: 'Name it' })).toBeEnabled();
  await weight.fill('much');
  await form.getByRole('button', { name: 'Name it' }).click();
  await expect(weight).toHaveAccessibleDescription(/"much" cannot be read as a weight/);
  await weight.fill('50');
  await form.getByRole('button', { name: 'Name it' }).click(); // a press waits until the 50 is read
  await page.getByRole('button', { name: 'Take these' }).first().click();
  await expect(page.getByText('The bags are in the mix')).toBeVisible();
  await searched(page);
  await expect(page.getByRole('heading', { name: /^8-20-30/ })).toBeVisible();
  await expect.poll(async () => ((await (await request.get(`/api/v1/mixes/${mix.id}`)).json()) as { document: { items: { product?: { name: string } }[] } }).document.items.map((i) => i.product?.name)).toContain('8-20-30');
});

test('says where else a mix is used, and makes it the plot’s own', async ({ page, request }) => {
  const { mix } = await ownGoods(request, 'Shared');
  await newPlot(request, 'Sharing one', undefined, { mix_id: mix.id });
  await page.reload();
  await page.getByLabel('Which mix').selectOption({ label: mix.name });
  await page.getByText('Change the mix', { exact: true }).click();
  await expect(page.getByText('This mix is also used on Sharing one: what you change here changes there too.')).toBeVisible();
  const notice = page.locator('div', { hasText: /^This mix is also used/ });
  await notice.getByRole('button', { name: 'Make it this plot’s own' }).first().click();
  await expect(page.getByLabel('Which mix')).toHaveValue(/./);
  await expect(page.getByLabel('Name of the mix')).toHaveValue(/^Shared mix, says where else/);
  await expect(page.getByText(/^This mix is also used/)).toBeHidden();
  const rate = page.locator('fieldset', { hasText: 'oats' }).getByLabel('How much');
  await rate.fill('50 lb/ac');
  await rate.press('Tab');
  await searched(page);
  await expect(page.getByRole('heading', { name: 'oats 50 lb/ac' })).toBeVisible();
  const shared = (await (await request.get(`/api/v1/mixes/${mix.id}`)).json()) as { document: { items: { rate: { mass_kg_per_m2: number } }[] } };
  expect(shared.document.items[0]!.rate.mass_kg_per_m2).toBeCloseTo(0.0100877, 9);
});
