// A choice on the sheet counts when figures follow it and the program keeps it:
// a keep-off distance, another plan, the bags for a soil test.
import { expect, test, type APIRequestContext, type Locator, type Page } from '@playwright/test';
import { figure, newPlot, openSheet, ownGoods, quarterAcre, searched, type LonLat } from './notebook';

interface Chosen {
  driver: { plan?: string };
  keep_off: { distance_m: number; line: LonLat[] }[];
}
const chosen = async (request: APIRequestContext, id: string) => (await (await request.get(`/api/v1/plots/${id}`)).json()) as Chosen;

const lat = (quarterAcre[0]![1] * Math.PI) / 180;
const metresEast = 111_412.84 * Math.cos(lat) - 93.5 * Math.cos(3 * lat); // of a degree, on the ellipsoid
const metresNorth = 111_132.95 - 559.85 * Math.cos(2 * lat);

/** The least distance in metres from a pass of the server's plan to a meridian. */
async function nearestPass(request: APIRequestContext, path: string, lon: number): Promise<number> {
  const { features } = (await (await request.get(path)).json()) as { features: { geometry: { type: string; coordinates: LonLat[] }; properties: { kind?: string } }[] };
  const passes = features.filter((f) => f.geometry.type === 'LineString' && f.geometry.coordinates.some(([x]) => x > lon + 0.0001));
  expect(passes.length).toBeGreaterThan(1);
  return Math.min(...passes.flatMap((f) => f.geometry.coordinates.map(([x]) => (x - lon) * metresEast)));
}

test('a keep-off distance is kept, and the passes draw back to it', async ({ page, request }) => {
  const edge = quarterAcre[0]![0];
  const line = [[edge, quarterAcre[0]![1] - 0.0001], [edge, quarterAcre[2]![1] + 0.0001]]; // along the west edge
  const goods = await ownGoods(request, 'Keep-off');
  const plot = await newPlot(request, 'Beside a creek', quarterAcre, {
    keep_off: [{ name: 'the creek', line, distance_m: 1, for: 'both' }], spreader_id: goods.spreader.id, mix_id: goods.mix.id,
  });
  await openSheet(page, plot.id);
  await searched(page);
  const length = figure(page, 'Gate open over');
  const [before, driven] = [await length.innerText(), page.getByRole('link', { name: 'GeoJSON' })];
  const path = (await driven.getAttribute('href'))!;
  const near = await nearestPass(request, path, edge);
  const distance = page.getByLabel('Stay away by');
  await distance.fill('40 ft');
  await distance.press('Enter');
  await expect.poll(async () => (await chosen(request, plot.id)).keep_off[0]!.distance_m).toBeCloseTo(40 * 0.3048, 6);
  await searched(page);
  await expect(length).not.toHaveText(before);
  const after = await length.innerText();
  expect(await nearestPass(request, path, edge)).toBeGreaterThan(Math.max(near, 40 * 0.3048));
  await page.reload();
  await searched(page);
  await expect(page.getByLabel('Stay away by')).toHaveValue('40 ft');
  await expect(length).toHaveText(after);
});

test('another plan is driven once it is chosen, and after a reload', async ({ page, request }) => {
  const plot = await newPlot(request, 'Driven otherwise', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const other = page.locator('.plan[aria-pressed="false"]').first();
  const name = await other.locator('b').innerText();
  const [, time, turns] = /([^%]*), (\d+) turns/.exec((await other.locator('span', { hasText: 'turns' }).innerText()).trim())!;
  const takes = page.locator('.row', { has: page.locator('dt', { hasText: 'Takes' }) });
  await expect(takes.locator('.figure')).not.toHaveText(time!);
  await other.click();
  await searched(page);
  const driven = async () => {
    await expect(page.locator('.plan[aria-pressed="true"] b')).toHaveText(name);
    await expect(takes.locator('.figure')).toHaveText(time!);
    await expect(takes).toContainText(`${turns} turns`);
  };
  await driven();
  await expect.poll(async () => (await chosen(request, plot.id)).driver.plan).toBe(name);
  await page.reload();
  await searched(page);
  await driven();
});

/** The card of the bags that come closest to a soil test, 13-13-13 being had at 24 a bag. */
async function closestCard(page: Page, request: APIRequestContext, name: string): Promise<Locator> {
  const { spreader, mix } = await ownGoods(request, name);
  const plot = await newPlot(request, name, quarterAcre, { spreader_id: spreader.id, mix_id: mix.id });
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByText('Soil test, and the bags that meet it', { exact: true }).click();
  for (const [part, rate] of [['N', '40 lb/ac'], ['P₂O₅', '10 lb/ac'], ['K₂O', '40 lb/ac']] as const) {
    await page.getByLabel(part, { exact: true }).fill(rate);
    await page.getByLabel(part, { exact: true }).press('Tab');
  }
  await page.getByLabel('Which bags can you get?').fill('13-13-13');
  await page.getByRole('button', { name: /^\+ .*13-13-13/ }).first().click();
  const card = page.locator('li', { has: page.getByRole('heading', { name: 'Closest' }) });
  await expect(card.locator('.bag b')).toHaveText(/^[1-9]/);
  return card;
}

test('a bag card says what is over', async ({ page, request }) => {
  const card = await closestCard(page, request, 'Over on cards');
  const bags = Number(/^\d+/.exec(await card.locator('.bag b').innerText())![0]);
  const spread = /, (\d+)(?: (\d)\/(\d))? spread/.exec(await card.locator('.bag').innerText());
  const used = spread ? Number(spread[1]) + (spread[2] ? Number(spread[2]) / Number(spread[3]) : 0) : bags;
  const acres = (0.0005 * metresEast * 0.00023 * metresNorth) / 4046.8564224;
  const over = (used * 50 * 0.13) / acres - 10; // 13 in 100 of bags of 50 lb
  const said = /P₂O₅ over by ([\d.]+) lb\/ac/.exec(await card.innerText());
  expect(Number(said![1])).toBeCloseTo(over, 0);
});

test('a bag card says what it costs', async ({ page, request }) => {
  const card = await closestCard(page, request, 'Cost on cards');
  const bags = Number(/^\d+/.exec(await card.locator('.bag b').innerText())![0]);
  await expect(card.locator('.cost')).toHaveText(`${24 * bags}.00`);
  const price = page.getByLabel(/^Price of a bag of .*13-13-13/);
  await price.fill('30');
  await price.press('Tab');
  await expect(card.locator('.cost')).toHaveText(`${30 * bags}.00`);
});
