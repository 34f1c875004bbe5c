// Records made for one test, by the program's own interface.
import type { APIRequestContext, Page } from '@playwright/test';
import { expect } from '@playwright/test';

export type LonLat = [number, number];

interface Kept {
  id: string;
  revision: number;
  name: string;
  spreader_id?: string;
  mix_id?: string;
  outline?: { type: 'Polygon'; coordinates: LonLat[][] };
  keep_off?: { name: string; line: LonLat[]; distance_m: number }[];
}

/** About 40 m by 25 m: a quarter acre. */
export const quarterAcre: LonLat[] = [
  [-90.8601, 43.7101],
  [-90.8596, 43.7101],
  [-90.8596, 43.71033],
  [-90.8601, 43.71033],
  [-90.8601, 43.7101],
];

/** A search so short that a busy machine answers within a test's patience. */
const fewCandidates = 40;

async function json<T>(reply: { ok(): boolean; status(): number; json(): Promise<unknown>; text(): Promise<string> }): Promise<T> {
  expect(reply.ok(), await reply.text()).toBe(true);
  return (await reply.json()) as T;
}

export async function firstProperty(request: APIRequestContext): Promise<string> {
  const { items } = await json<{ items: Kept[] }>(await request.get('/api/v1/properties'));
  return items[0]!.id;
}

export async function newPlot(request: APIRequestContext, name: string, ring?: LonLat[], own: object = {}): Promise<Kept> {
  const property_id = await firstProperty(request);
  const outline = ring ? { outline: { type: 'Polygon', coordinates: [ring] } } : {};
  return json<Kept>(await request.post('/api/v1/plots', { data: { property_id, name, driver: { date: '2027-04-20', budget: fewCandidates }, ...outline, ...own } }));
}

/** A spreader with a triangle for its pattern. */
export async function newMachine(request: APIRequestContext, name: string, throw_m: number): Promise<Kept> {
  return json<Kept>(await request.post('/api/v1/spreaders', { data: { document: { name, patterns: { usual: { shape: 'triangle', throw_m } }, hopper_kg: 40 } } }));
}

/** How far a kept spreader throws, in metres. */
export async function readMachine(request: APIRequestContext, id: string): Promise<number> {
  const { document } = await json<{ document: { patterns: { usual: { throw_m: number } } } }>(await request.get(`/api/v1/spreaders/${id}`));
  return document.patterns.usual.throw_m;
}

export async function readPlot(request: APIRequestContext, id: string): Promise<Kept> {
  return json<Kept>(await request.get(`/api/v1/plots/${id}`));
}

export async function plotByName(request: APIRequestContext, name: string): Promise<Kept> {
  const { items } = await json<{ items: Kept[] }>(await request.get('/api/v1/plots?limit=200'));
  return items.find((p) => p.name === name)!;
}

/** Opens a plot's sheet and waits until the full search is on the page. */
export async function openSheet(page: Page, id: string): Promise<void> {
  await page.goto(`/#/plot/${id}`);
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toBeVisible();
}

/** The figure beside a label, as a person reads it. */
export function figure(page: Page, label: string | RegExp) {
  return page.locator('.row', { has: page.locator('dt', { hasText: label }) }).locator('.figure').first();
}

/** Opens every folded page of the sheet. */
export async function unfold(page: Page): Promise<void> {
  const folded = page.locator('details:not([open]) > summary');
  while ((await folded.count()) > 0) await folded.first().click();
}

export async function searched(page: Page): Promise<void> {
  await expect(page.locator('[data-searching="no"]')).toBeVisible({ timeout: 60_000 });
}

/** The demo's record of a name. */
export async function named(request: APIRequestContext, path: string, name: string): Promise<Kept> {
  const { items } = await json<{ items: Kept[] }>(await request.get(`/api/v1${path}?limit=200`));
  return items.find((one) => one.name === name)!;
}

/** A spreader and a mix of a test's own, so that no other test changes them. */
export async function ownGoods(request: APIRequestContext, name: string): Promise<{ spreader: Kept; mix: Kept }> {
  const machine = {
    name: `${name} hopper`, patterns: { usual: { shape: 'triangle', throw_m: 7.9248 } }, hopper_kg: 45.3592, hopper_m3: 0.0568,
    speed_min_mps: 1.78816, speed_max_mps: 3.57632, turn_radius_m: 2.4384, gate_scale: { name: 'notch', shut: 0, open: 8, step: 0.5 },
  };
  const goods = {
    name: `${name} mix`,
    items: [
      { material: 'oats', rate: { mass_kg_per_m2: 0.0100877 }, bag_kg: 22.6796, price_per_bag: 18.5, group: 1 },
      { material: '13-13-13', rate: { mass_kg_per_m2: 0.0280213 }, price_per_bag: 24, group: 1 },
    ],
  };
  const spreader = await json<Kept>(await request.post('/api/v1/spreaders', { data: { name: machine.name, document: machine } }));
  return { spreader, mix: await json<Kept>(await request.post('/api/v1/mixes', { data: { name: goods.name, document: goods } })) };
}

/** A sheet that is kept for the season, by laps so that it is quick. */
export async function keptSheet(request: APIRequestContext, plotId: string, date: string, goods?: { spreader: Kept; mix: Kept }): Promise<Kept> {
  const { spreader, mix } = goods ?? (await ownGoods(request, `Kept ${date}`));
  return json<Kept>(await request.post('/api/v1/sheets', { data: { plot_id: plotId, spreader_id: spreader.id, mix_id: mix.id, date, options: { habit: true } } }));
}

/** Deletes what a test made. */
export async function thrownAway(request: APIRequestContext, path: string, id: string): Promise<void> {
  const { revision } = await json<Kept>(await request.get(`/api/v1${path}/${id}`));
  const reply = await request.delete(`/api/v1${path}/${id}`, { headers: { 'If-Match': `"${revision}"` } });
  expect(reply.ok(), await reply.text()).toBe(true);
}

/** What the person believed before anything was measured. */
export async function guessed(request: APIRequestContext, plotId: string, area_m2: number): Promise<void> {
  await json(await request.post('/api/v1/surveys', { data: { plot_id: plotId, method: 'guessed', date: '2025-08-30', area_m2 } }));
}
