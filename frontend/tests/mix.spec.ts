// What a mix holds: ways to give a rate, the seed tag, names, products of one's own.
import { expect, test, type Page } from '@playwright/test';
import { violations } from './axe';
import { figure, newPlot, openSheet, ownGoods, quarterAcre, searched } from './notebook';

let mixId = '';
test.beforeEach(async ({ page, request }, info) => {
  const { spreader, mix } = await ownGoods(request, info.title.slice(0, 40).trim());
  const plot = await newPlot(request, info.title.slice(0, 60), quarterAcre, { spreader_id: spreader.id, mix_id: mix.id });
  mixId = mix.id;
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByText('Change the mix', { exact: true }).click();
});

const item = (page: Page, name: string) => page.locator('fieldset', { hasText: name });
async function fill(page: Page, name: string, label: string, text: string): Promise<void> {
  const field = item(page, name).getByLabel(label, { exact: true });
  await field.fill(text);
  await field.press('Tab');
}

test('a rate is said in another way, and as much goes on', async ({ page }) => {
  const pour = async () => (await page.locator('.material').first().locator('.figure').first().innerText());
  const before = await pour();
  const kinds = item(page, 'oats').getByLabel('Rate', { exact: true });
  await expect(kinds.locator('option')).not.toContainText(['nitrogen on an area']);
  await expect(item(page, '13-13-13').getByLabel('Rate', { exact: true }).locator('option', { hasText: /seed/ })).toHaveCount(0);
  for (const kind of ['seeds on an area', 'weight for the plot', 'weight on an area']) {
    await kinds.selectOption({ label: kind });
    await searched(page);
    await expect(kinds).toHaveValue(/./);
    expect(await pour()).toBe(before);
  }
  await expect(item(page, 'oats').getByLabel('How much')).toHaveValue('90 lb/ac');
  await item(page, '13-13-13').getByLabel('Rate', { exact: true }).selectOption({ label: 'nitrogen on an area' });
  await expect(item(page, '13-13-13').getByLabel('How much')).toHaveValue('32.5 lb/ac');
});

test('parts have a blend to be parts of', async ({ page }) => {
  for (const name of ['oats', '13-13-13']) {
    await item(page, name).getByLabel('Rate', { exact: true }).selectOption({ label: 'parts of the blend' });
    await expect(item(page, name).getByLabel('How much')).toHaveValue(/^[\d.]+$/);
  }
  const blend = page.getByLabel('The whole blend');
  await expect(blend).toHaveValue('340 lb/ac');
  await fill(page, 'oats', 'How much', '1');
  await fill(page, '13-13-13', 'How much', '3');
  await blend.fill('400 lb/ac');
  await blend.press('Tab');
  await searched(page);
  await expect(page.getByRole('heading', { name: /^oats 1 part by weight, 100 lb\/ac/ })).toBeVisible();
  await expect(page.getByRole('heading', { name: /3 parts by weight, 300 lb\/ac/ })).toBeVisible();
  await item(page, '13-13-13').getByRole('button', { name: 'Take it out' }).click();
  await expect(blend).toHaveValue('100 lb/ac'); // the oats keep their rate
});

test('the seed tag raises what is poured for pure live seed', async ({ page, request }) => {
  await item(page, 'oats').getByLabel('Rate', { exact: true }).selectOption({ label: 'pure live seed on an area' });
  await fill(page, 'oats', 'How much', '80 lb/ac');
  await searched(page);
  await fill(page, 'oats', 'Pure seed, %', '98');
  await expect(item(page, 'oats').getByText('Copy both purity and germination from the tag.')).toBeVisible();
  await fill(page, 'oats', 'Germination, %', '80');
  await expect(item(page, 'oats').getByText('78 % of the bag is pure live seed.')).toBeVisible();
  await searched(page);
  const acres = parseFloat(await figure(page, 'Measured').innerText());
  const pour = parseFloat(await page.locator('.material').first().locator('.figure').first().innerText());
  expect(pour / acres).toBeGreaterThan(80 / 0.784 - 4);
  expect(pour / acres).toBeLessThan(80 / 0.784 + 4);
  await expect(page.locator('.material').first()).toContainText(/of them alive/);
  await fill(page, 'oats', 'Hard seed, %', '30');
  await expect(item(page, 'oats').getByLabel('Germination, %')).toHaveAccessibleDescription(/add to more than 100 %/);
  await fill(page, 'oats', 'Hard seed, %', '');
  await fill(page, 'oats', 'Germination, %', '');
  await expect.poll(async () => ((await (await request.get(`/api/v1/mixes/${mixId}`)).json()) as { document: { items: { tag?: object }[] } }).document.items[0]!.tag).toBeUndefined();
});

test('a name that is emptied stays, and says so', async ({ page }) => {
  const name = page.getByLabel('Name of the mix');
  const kept = await name.inputValue();
  await name.fill(' ');
  await name.press('Tab');
  await expect(name).toHaveAccessibleDescription(`A name is needed: “${kept}” stays`);
  await expect(name).toHaveValue(kept);
  await name.fill('Oats for the bench ');
  await name.press('Tab');
  await expect(name).toHaveValue('Oats for the bench');
  await expect(name).not.toHaveAttribute('aria-invalid');
  await page.getByText('The machine', { exact: true }).click();
  const machine = page.getByLabel('What you call it').first();
  const called = await machine.inputValue();
  await machine.fill('');
  await machine.press('Tab');
  await expect(machine).toHaveValue(called);
  await expect(machine).toHaveAccessibleDescription(/A name is needed/);
});

test('a fertilizer that the catalog lacks goes with its mix', async ({ page, request }) => {
  const search = page.getByLabel('Find a seed or a fertilizer').first();
  await search.fill('starter 6-24-24');
  await expect(page.getByText('Nothing in the catalog is called that.')).toBeVisible();
  await page.getByRole('button', { name: 'Something that is not in the catalog' }).first().click();
  const form = page.locator('fieldset', { hasText: 'In the words of its bag' });
  await expect(form.getByLabel('What is it called?')).toHaveValue('starter 6-24-24');
  await expect(form.getByLabel('Grade, N-P-K')).toHaveValue('6-24-24');
  await form.getByLabel('Grade, N-P-K').fill('60-24-24');
  await form.getByRole('button', { name: 'Add it' }).click();
  await expect(form.getByLabel('Grade, N-P-K')).toHaveAccessibleDescription(/adds to more than 100 %/);
  expect(await violations(page)).toEqual([]);
  await form.getByLabel('Grade, N-P-K').fill('6-24-24');
  await form.getByLabel('A full bag weighs').fill('50 lb');
  await form.getByLabel('A full bag weighs').press('Tab');
  await form.getByRole('button', { name: 'Add it' }).click();
  await expect(form).toBeHidden();
  await fill(page, 'starter', 'How much', '100 lb/ac');
  await searched(page);
  await expect(page.getByRole('heading', { name: /^starter 6-24-24 100 lb\/ac/ })).toBeVisible();
  const here = await page.locator('.row', { has: page.locator('dt', { hasText: 'P₂O₅' }) }).locator('.figure').first().innerText();
  expect(parseFloat(here)).toBeCloseTo(250 * 0.13 + 24, 0);
  const plotId = page.url().split('/').pop()!;
  await expect
    .poll(async () => ((await (await request.get(`/api/v1/plots/${plotId}/sheet`)).json()) as { materials: { material: string; bag_kg?: number }[] }).materials.find((m) => m.material === 'starter 6-24-24')?.bag_kg)
    .toBeCloseTo(22.68, 2);
  // Another mix finds it too.
  const { mix } = await ownGoods(request, 'Another');
  await page.reload();
  await page.getByLabel('Which mix').selectOption({ label: mix.name });
  await page.getByText('Change the mix', { exact: true }).click();
  await search.fill('starter');
  await page.getByRole('button', { name: 'Add starter 6-24-24' }).first().click();
  await searched(page);
  await expect(page.getByRole('heading', { name: /^starter 6-24-24/ })).toBeVisible();
});

test('a seed that the catalog lacks is sown, and winter rye is found', async ({ page }) => {
  const search = page.getByLabel('Find a seed or a fertilizer').first();
  await search.fill('winter rye');
  await expect(page.getByText('also called winter rye, grain rye')).toBeVisible();
  await expect(page.getByRole('button', { name: 'Add cereal rye' }).first()).toBeVisible();
  await search.fill('teff');
  await page.getByRole('button', { name: 'Something that is not in the catalog' }).first().click();
  const form = page.locator('fieldset', { hasText: 'In the words of its bag' });
  await expect(form.getByLabel('It is')).toHaveValue('seed');
  await form.getByLabel('Seeds by weight').fill('1,300,000');
  await form.getByLabel('Seeds by weight').press('Tab');
  await form.getByLabel('A bushel weighs').fill('60');
  await form.getByLabel('A bushel weighs').press('Tab');
  await form.getByRole('button', { name: 'Add it' }).click();
  await searched(page);
  const teff = page.locator('.material', { hasText: 'teff' });
  await expect(teff.getByText('Lies on the ground')).toBeVisible();
  await expect(teff).toContainText(/or [\d\/ ]+ (qt|bu|pt)/);
});

test('what is chosen is not cut off, and the tick for whole bags takes a thumb', async ({ page }) => {
  for (const title of ['The machine', 'Catch tests: what runs out of the gate', 'Pan test: how it really throws', 'Soil test, and the bags that meet it']) {
    await page.getByText(title, { exact: true }).click();
  }
  for (const [width, height] of [[390, 844], [1440, 900]] as const) {
    await page.setViewportSize({ width, height });
    const cut = await page.locator('main details select').evaluateAll((all) =>
      (all as HTMLSelectElement[]).flatMap((select) => {
        const { font, paddingLeft, paddingRight } = getComputedStyle(select);
        const pen = document.createElement('canvas').getContext('2d')!;
        pen.font = font;
        const words = select.selectedOptions[0]?.textContent ?? '';
        const arrow = 16; // pixels, about what the platform draws
        return pen.measureText(words).width > select.clientWidth - parseFloat(paddingLeft) - parseFloat(paddingRight) - arrow ? [words] : [];
      }),
    );
    expect(cut, `${width} wide`).toEqual([]);
    const tick = (await page.getByRole('checkbox', { name: 'pour whole bags' }).first().boundingBox())!;
    expect(Math.min(tick.width, tick.height)).toBeGreaterThanOrEqual(48);
  }
});

test('the legend says of what the spread is', async ({ page, request }) => {
  const legend = page.getByRole('figure', { name: /^Legend of the spread/ });
  await expect(legend).toContainText('of oats and complete fertilizer 13-13-13');
  const { document, revision } = (await (await request.get(`/api/v1/mixes/${mixId}`)).json()) as { document: { items: { group?: number }[] }; revision: number };
  for (const item of document.items) delete item.group;
  await request.put(`/api/v1/mixes/${mixId}`, { data: { document }, headers: { 'If-Match': `"${revision}"` } });
  await page.reload();
  await searched(page);
  await expect(legend).toContainText('of filling 1 of 2: complete fertilizer 13-13-13');
  await expect(legend).toHaveAccessibleName(/of filling 1 of 2/);
});
