// A hand on the map. Where a place on earth lies on the screen is learned from
// the coordinates that the page shows under the pointer.
import type { Page } from '@playwright/test';
import { expect } from '@playwright/test';
import type { LonLat } from './notebook';

export interface Spot {
  x: number;
  y: number;
}

export const map = (page: Page) => page.getByRole('application', { name: /Map of the plot/ });

/** Lets a plot without an outline open with some hundred metres about a place in view. */
export const lookAt = (page: Page, [lon, lat]: LonLat) =>
  page.addInitScript((view) => localStorage.setItem('evenfall.choices', JSON.stringify({ view })), [lon - 0.0002, lat - 0.0003]);

/** The place that the page names under the pointer. */
export async function under(page: Page): Promise<LonLat> {
  const words = await page.getByLabel('Under the finger').innerText();
  const [, lat, ns, lon, ew] = /([\d.]+) ([NS]), ([\d.]+) ([EW])/.exec(words)!;
  return [Number(lon) * (ew === 'W' ? -1 : 1), Number(lat) * (ns === 'S' ? -1 : 1)];
}

/** Turns degrees into pixels, by looking at two places. */
export async function bearings(page: Page): Promise<(at: LonLat) => Spot> {
  const box = (await map(page).boundingBox())!;
  const a = { x: box.x + box.width * 0.2, y: box.y + box.height * 0.3 };
  const b = { x: box.x + box.width * 0.8, y: box.y + box.height * 0.7 };
  await page.mouse.move(a.x, a.y);
  await page.mouse.move(a.x + 1, a.y);
  await page.mouse.move(a.x, a.y);
  await expect(page.getByLabel('Under the finger')).toBeVisible();
  const atA = await under(page);
  await page.mouse.move(b.x, b.y);
  await expect.poll(async () => (await under(page))[0]).not.toBe(atA[0]);
  const atB = await under(page);
  return ([lon, lat]) => ({
    x: a.x + ((lon - atA[0]) / (atB[0] - atA[0])) * (b.x - a.x),
    y: a.y + ((lat - atA[1]) / (atB[1] - atA[1])) * (b.y - a.y),
  });
}

/** A spot as shares of the map's width and height. */
export async function spot(page: Page, across: number, down: number): Promise<Spot> {
  const box = (await map(page).boundingBox())!;
  return { x: box.x + box.width * across, y: box.y + box.height * down };
}

/** Clicks spots in turn. */
export async function touch(page: Page, shares: [number, number][]): Promise<void> {
  for (const [across, down] of shares) {
    const at = await spot(page, across, down);
    await page.mouse.move(at.x, at.y);
    await page.mouse.click(at.x, at.y);
    await page.waitForTimeout(320); // slower than a double click
  }
}

export const clickRound = (page: Page, shares: [number, number][]) => touch(page, [...shares, shares[0]!]);

export async function tapRound(page: Page, shares: [number, number][]): Promise<void> {
  for (const [across, down] of [...shares, shares[0]!]) {
    const at = await spot(page, across, down);
    await page.touchscreen.tap(at.x, at.y);
    await page.waitForTimeout(320);
  }
}

export async function drag(page: Page, from: Spot, to: Spot): Promise<void> {
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  for (let i = 1; i <= 8; i++) {
    await page.mouse.move(from.x + ((to.x - from.x) * i) / 8, from.y + ((to.y - from.y) * i) / 8);
    await page.waitForTimeout(30);
  }
  await page.mouse.up();
}
