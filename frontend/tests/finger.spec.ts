// A corner under a finger, as a phone reports it: touches, not a mouse.
import { expect, test, type Page } from '@playwright/test';
import { lookAt, map, spot, type Spot } from './hand';
import { figure, newPlot, openSheet, quarterAcre, readPlot, searched, type LonLat } from './notebook';

test.use({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 });

/** The place that the page names under the last touch. */
async function touched(page: Page, at: Spot): Promise<LonLat> {
  await page.touchscreen.tap(at.x, at.y);
  await page.waitForTimeout(400); // longer than a double touch
  const words = await page.getByLabel('Under the finger').innerText();
  const [, lat, ns, lon, ew] = /([\d.]+) ([NS]), ([\d.]+) ([EW])/.exec(words)!;
  return [Number(lon) * (ew === 'W' ? -1 : 1), Number(lat) * (ns === 'S' ? -1 : 1)];
}

/** Turns degrees into pixels, by touching two places within the plot. */
async function bearingsByTouch(page: Page): Promise<(at: LonLat) => Spot> {
  const [a, b] = [await spot(page, 0.35, 0.42), await spot(page, 0.65, 0.58)];
  const [atA, atB] = [await touched(page, a), await touched(page, b)];
  return ([lon, lat]) => ({
    x: a.x + ((lon - atA[0]) / (atB[0] - atA[0])) * (b.x - a.x),
    y: a.y + ((lat - atA[1]) / (atB[1] - atA[1])) * (b.y - a.y),
  });
}

test('drags a corner by finger and sees acres and passes change under it', async ({ page, request }) => {
  const plot = await newPlot(request, 'Under a finger', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const [area, length] = [figure(page, 'Measured'), figure(page, 'Gate open over')];
  const before = [await area.innerText(), await length.innerText()];
  await page.getByRole('button', { name: 'Change the ground' }).tap();
  await map(page).scrollIntoViewIfNeeded();
  const where = await bearingsByTouch(page);
  const from = where(quarterAcre[2]!);
  const to = { x: from.x - 120, y: from.y + 40 };

  const finger = await page.context().newCDPSession(page);
  const press = (type: 'touchStart' | 'touchMove', at: Spot) => finger.send('Input.dispatchTouchEvent', { type, touchPoints: [at] });
  await press('touchStart', from);
  for (let i = 1; i <= 10; i++) {
    await press('touchMove', { x: from.x + ((to.x - from.x) * i) / 10, y: from.y + ((to.y - from.y) * i) / 10 });
    await page.waitForTimeout(30);
  }
  // Still down: the figures follow the finger, nothing is kept yet.
  const held = page.getByRole('region', { name: 'Figures of this plot' }).locator('b').first();
  await expect(held).not.toHaveText(before[0]!);
  await expect(length).not.toHaveText(before[1]!);
  expect((await readPlot(request, plot.id)).revision).toBe(plot.revision);

  await finger.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await searched(page);
  await expect(area).not.toHaveText(before[0]!);
  await expect(length).not.toHaveText(before[1]!);
  await expect.poll(async () => (await readPlot(request, plot.id)).revision).toBeGreaterThan(plot.revision);
  const ring = (await readPlot(request, plot.id)).outline!.coordinates[0]!;
  expect(ring).toHaveLength(5); // moved, none added
  const gone = ring.filter((at) => !quarterAcre.some((old) => Math.abs(old[0] - at[0]) < 1e-9 && Math.abs(old[1] - at[1]) < 1e-9));
  expect(gone).toHaveLength(1);
  expect(gone[0]![0]).toBeLessThan(quarterAcre[2]![0]);
  expect(gone[0]![1]).toBeLessThan(quarterAcre[2]![1]);
});

test('tells the length of the edge that was drawn, once the finger is lifted', async ({ page, request }) => {
  const plot = await newPlot(request, 'Told to a finger');
  await lookAt(page, [-90.8701, 43.6201]); // no corner near by to snap to
  await openSheet(page, plot.id);
  await page.getByRole('button', { name: 'Draw the outline' }).tap();
  const tap = async (across: number, down: number) => {
    const at = await spot(page, across, down);
    await page.touchscreen.tap(at.x, at.y);
    await page.waitForTimeout(320); // slower than a double touch
  };
  const edge = page.locator('p', { hasText: 'this edge' }).locator('b').first();
  await tap(0.2, 0.3);
  await expect(edge).toBeHidden();
  await tap(0.7, 0.3);
  await expect(edge).toHaveText(/^[1-9]/);
  const across = await edge.innerText();
  await tap(0.7, 0.5);
  await expect(edge).not.toHaveText(across);
  await expect(edge).toHaveText(/^[1-9]/);
  await expect(page.getByText('so far')).toBeVisible();
  await page.getByRole('button', { name: 'Take back' }).tap();
  await expect(edge).toHaveText(across);
});

test('what cannot be measured is said in the strip and shown on the ground, which stays where it is', async ({ page, request }) => {
  const ring: LonLat[] = [[-90.8901, 43.6401], [-90.8897, 43.6401], [-90.8897, 43.6404], [-90.8901, 43.6404], [-90.8901, 43.6401]];
  const plot = await newPlot(request, 'Crossed', ring);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).tap();
  const places = [map(page), page.getByRole('button', { name: 'Corners', exact: true }), page.getByRole('navigation', { name: 'Notebook' })];
  const lie = async () => JSON.stringify(await Promise.all(places.map((one) => one.boundingBox())));
  const before = await lie();
  await page.getByRole('button', { name: 'Draw anew' }).tap();
  for (const [across, down] of [[0.2, 0.4], [0.7, 0.4], [0.3, 0.7], [0.6, 0.75]] as const) {
    const at = await spot(page, across, down);
    await page.touchscreen.tap(at.x, at.y);
    await page.waitForTimeout(320);
  }
  await page.getByRole('button', { name: 'Close it' }).tap();
  const strip = page.getByRole('alert').filter({ hasText: 'The edge from corner 2 to 3 meets the edge from corner 4 to 1: move one of these corners' });
  await expect(strip).toBeVisible();
  await expect(page.getByText('not kept', { exact: true })).toBeVisible();
  expect(await lie()).toBe(before);
  await expect(page.locator('.readout b').first()).toHaveText('–');
  await expect(page.getByText('This outline cannot be measured.')).toBeAttached();
  await expect(page.getByText('No outline yet')).toHaveCount(0);
  await page.screenshot({ path: 'test-results/crossed.png' });

  await page.getByRole('button', { name: 'Undo' }).last().tap();
  await expect(strip).toBeHidden();
  await expect(page.locator('.readout b').first()).not.toHaveText('–');
});

test('the questions after a line lie beside the ground, which stays where it is', async ({ page, request }) => {
  const ring: LonLat[] = [[-90.8901, 43.6501], [-90.8897, 43.6501], [-90.8897, 43.6504], [-90.8901, 43.6504], [-90.8901, 43.6501]];
  const plot = await newPlot(request, 'Asked about', ring);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).tap();
  await expect(page.getByRole('button', { name: 'Cut in two' })).toBeVisible();
  const before = await map(page).boundingBox();
  const across = async () => {
    for (const [x, y] of [[0.47, 0.16], [0.53, 0.97]] as const) {
      const at = await spot(page, x, y);
      await page.touchscreen.tap(at.x, at.y);
      await page.waitForTimeout(320);
    }
    expect(await map(page).boundingBox()).toEqual(before);
    await page.getByRole('button', { name: 'Close it' }).tap();
  };
  await page.getByRole('button', { name: 'Keep off', exact: true }).tap();
  await across();
  await expect(page.getByText('How far to stay away from it?')).toBeVisible();
  expect(await map(page).boundingBox()).toEqual(before);
  await page.screenshot({ path: 'test-results/how-far.png' });
  await page.getByRole('button', { name: 'Leave it off' }).tap();
  await page.getByRole('button', { name: 'Cut in two' }).tap();
  await across();
  await expect(page.getByText(/Cut here\? 1 \([\d.]+ ac\) stays Asked about; 2 \([\d.]+ ac\) becomes a plot of its own/)).toBeVisible();
  expect(await map(page).boundingBox()).toEqual(before);
  await page.screenshot({ path: 'test-results/cut-here.png' });
  await page.getByRole('button', { name: 'Leave it whole' }).tap();
  await expect(page.getByRole('button', { name: 'Cut in two' })).toBeVisible();
  const kept = await readPlot(request, plot.id);
  expect([kept.keep_off ?? [], kept.outline!.coordinates[0]]).toEqual([[], ring]);
});

test('a hole is told from the edge, and deleted whole', async ({ page, request }) => {
  const ring: LonLat[] = [[-90.8901, 43.6601], [-90.8897, 43.6601], [-90.8897, 43.6604], [-90.8901, 43.6604], [-90.8901, 43.6601]];
  const plot = await newPlot(request, 'Two stumps', ring);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).tap();
  const stump = async (x: number, y: number) => {
    await page.getByRole('button', { name: 'Hole', exact: true }).tap();
    for (const [right, down] of [[0, 0], [0.15, 0], [0.08, 0.12]] as const) {
      const at = await spot(page, x + right, y + down);
      await page.touchscreen.tap(at.x, at.y);
      await page.waitForTimeout(320);
    }
    await page.getByRole('button', { name: 'Close it' }).tap();
    await expect(page.getByRole('button', { name: 'Hole', exact: true })).toBeVisible();
  };
  await stump(0.25, 0.45);
  await stump(0.55, 0.45);
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates.length).toBe(3);
  const second = (await readPlot(request, plot.id)).outline!.coordinates[2];
  const at = await spot(page, 0.4, 0.45);
  await page.touchscreen.tap(at.x, at.y);
  const chosen = page.getByRole('group', { name: 'The chosen corner' });
  await expect(chosen).toContainText(/Hole 1, corner \d/);
  await page.screenshot({ path: 'test-results/hole-chosen.png' });
  await chosen.getByRole('button', { name: 'Delete the hole' }).tap();
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates.length).toBe(2);
  expect((await readPlot(request, plot.id)).outline!.coordinates[1]).toEqual(second);
  await expect(chosen).toBeHidden();
});
