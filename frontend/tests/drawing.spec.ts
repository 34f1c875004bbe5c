// What the hand is told while it draws: the neighbour's corner that it snaps
// to, the length of the edge under it; and a plot that was taped as a circle.
import { expect, test, type Page } from '@playwright/test';
import { bearings, lookAt, spot, under, type Spot } from './hand';
import { figure, newPlot, openSheet, readPlot, searched, type LonLat } from './notebook';

const [west, south] = [-90.8101, 43.6401]; // away from the plots of other tests
const neighbour: LonLat[] = [[west, south], [west + 0.0004, south], [west + 0.0004, south + 0.0003], [west, south + 0.0003], [west, south]];

/** Opens a plot without an outline, with some hundred metres about a place in view. */
async function onBareGround(page: Page, id: string, place: LonLat = [west, south]): Promise<(at: LonLat) => Spot> {
  await lookAt(page, place);
  await openSheet(page, id);
  await page.getByRole('button', { name: 'Draw the outline' }).click();
  return bearings(page);
}

/** In two steps, as a hand moves: the library does not heed the first after a click. */
async function moveTo(page: Page, at: Spot): Promise<void> {
  await page.mouse.move(at.x - 3, at.y);
  await page.mouse.move(at.x, at.y);
}

async function put(page: Page, at: Spot): Promise<void> {
  await moveTo(page, at);
  await page.mouse.click(at.x, at.y);
  await page.waitForTimeout(320); // slower than a double click
}

test('a drawn corner snaps to the neighbour, one farther off does not', async ({ page, request }) => {
  await newPlot(request, 'The neighbour', neighbour);
  const plot = await newPlot(request, 'Beside the neighbour');
  const where = await onBareGround(page, plot.id);
  const beside = (at: LonLat, x: number, y: number) => ({ x: where(at).x + x, y: where(at).y + y });
  const [low, high] = [neighbour[1]!, neighbour[2]!];
  const corners = [beside(low, 7, 5), beside(low, 90, 30), beside(high, 90, -40), beside(high, 6, -6)];
  for (const at of corners) await put(page, at);
  await page.getByRole('button', { name: 'Close it' }).click();
  await expect(figure(page, 'Measured')).toHaveText(/\d/);
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates[0]?.length).toBe(5);
  const ring = (await readPlot(request, plot.id)).outline!.coordinates[0]!;
  const aMillimetre = 1e-8; // degrees
  const on = (at: LonLat) => ring.slice(0, 4).filter((one) => Math.hypot(one[0] - at[0], one[1] - at[1]) < aMillimetre).length;
  expect([on(low), on(high)]).toEqual([1, 1]);
  const far = ring.slice(0, 4).filter((one) => one[0] - low[0] > 1e-5);
  expect(far).toHaveLength(2);
});

const footM = 0.3048;

/** "83 ft 10 in" or "83 ft" in metres. */
function lengthOf(words: string): number {
  const [, feet = '0', inches = '0'] = /(?:([\d.]+) ft)? ?(?:([\d.]+) in)?/.exec(words)!;
  return (Number(feet) + Number(inches) / 12) * footM;
}

test('tells the length of the edge under the hand, and the acres so far', async ({ page, request }) => {
  const plot = await newPlot(request, 'Told while drawn');
  const [west, low] = [-90.7901, 43.6201]; // no corner near by to snap to
  const where = await onBareGround(page, plot.id, [west, low]);
  const lat = (low * Math.PI) / 180;
  const metresEast = 111_412.84 * Math.cos(lat) - 93.5 * Math.cos(3 * lat); // of a degree, on the ellipsoid
  const metresNorth = 111_132.95 - 559.85 * Math.cos(2 * lat);
  const metres = (a: LonLat, b: LonLat) => Math.hypot((b[0] - a[0]) * metresEast, (b[1] - a[1]) * metresNorth);
  const edge = page.locator('p', { hasText: 'this edge' }).locator('b').first();
  const told = (from: LonLat, at: Spot) =>
    expect
      .poll(async () => {
        await moveTo(page, at); // a busy machine may not heed every move
        return Math.abs(lengthOf(await edge.innerText()) / metres(from, await under(page)) - 1);
      })
      .toBeLessThan(0.02);

  await put(page, where([west, low]));
  const first = await under(page);
  for (const east of [0.00025, 0.0006]) {
    await told(first, where([west + east, low]));
  }
  await expect(page.getByText('so far')).toBeHidden();
  await put(page, where([west + 0.0006, low]));
  const second = await under(page);
  await told(second, where([west + 0.0006, low + 0.00036]));
  const [third, acre] = [await under(page), 4046.8564224];
  const half = (metres(first, second) * metres(second, third)) / 2 / acre; // the triangle's corner at the second is square
  const sofar = page.locator('p', { hasText: 'so far' }).locator('b').last();
  await expect.poll(async () => Math.abs(parseFloat(await sofar.innerText()) - half)).toBeLessThan(0.006); // shown to 0.01 ac
  expect((await readPlot(request, plot.id)).outline).toBeUndefined(); // only told, not kept
});

test('an outline takes three corners, and the one that is there stays until then', async ({ page, request }) => {
  const ring: LonLat[] = [[-90.8301, 43.6201], [-90.8297, 43.6201], [-90.8297, 43.6204], [-90.8301, 43.6204], [-90.8301, 43.6201]];
  const plot = await newPlot(request, 'Drawn anew', ring);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  await page.getByRole('button', { name: 'Draw anew' }).click();
  const [close, back] = ['Close it', 'Take back'].map((name) => page.getByRole('button', { name }));
  await expect(back!).toBeDisabled();
  const places = [await spot(page, 0.3, 0.4), await spot(page, 0.6, 0.4), await spot(page, 0.6, 0.6)];
  await put(page, places[0]!);
  await expect(back!).toBeEnabled();
  await put(page, places[1]!);
  await moveTo(page, places[2]!); // the pointer is no corner
  await expect(close!).toBeDisabled();
  await put(page, { x: places[1]!.x + 4, y: places[1]!.y }); // nor is one touched twice
  await put(page, { x: places[0]!.x, y: places[0]!.y + 4 });
  await expect(close!).toBeDisabled();
  await put(page, places[2]!);
  await expect(close!).toBeEnabled();
  await back!.click();
  await expect(close!).toBeDisabled();
  expect((await readPlot(request, plot.id)).outline?.coordinates[0]).toEqual(ring);
  await put(page, places[2]!);
  await close!.click();
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates[0]?.length).toBe(4);
});

test('a line takes two corners, and keeps nothing off until its distance is given', async ({ page, request }) => {
  const ring: LonLat[] = [[-90.8501, 43.6201], [-90.8497, 43.6201], [-90.8497, 43.6204], [-90.8501, 43.6204], [-90.8501, 43.6201]];
  const plot = await newPlot(request, 'Kept off', ring);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  await page.getByRole('button', { name: 'Keep off', exact: true }).click();
  const close = page.getByRole('button', { name: 'Close it' });
  const [from, to] = [await spot(page, 0.2, 0.4), await spot(page, 0.2, 0.6)];
  await put(page, from);
  await moveTo(page, to);
  await expect(close).toBeDisabled();
  await put(page, to);
  const figures = await page.locator('section.readout').innerText();
  await close.click();
  await expect(page.getByText('How far to stay away from it?')).toBeVisible();
  await searched(page);
  expect(await page.locator('section.readout').innerText()).toBe(figures);
  expect((await readPlot(request, plot.id)).keep_off ?? []).toEqual([]);
  await page.getByRole('button', { name: '25 ft' }).click();
  await expect.poll(async () => (await readPlot(request, plot.id)).keep_off?.[0]).toMatchObject({ distance_m: 7.62, line: { length: 2 } });
  await expect(page.getByLabel('Stay away by')).toHaveValue('25 ft');
  await page.getByLabel('Stay away by').fill('');
  await page.getByLabel('Stay away by').press('Tab');
  await expect(page.getByText('This is needed')).toBeVisible();
  await searched(page);
  await expect(page.locator('.readout b').nth(1)).not.toHaveText('–');
});

test('undo of a cut takes its plots away, redo brings them back, and none has the name of another', async ({ page, request }) => {
  const ring: LonLat[] = [[-90.8701, 43.6401], [-90.8696, 43.6401], [-90.8696, 43.6404], [-90.8701, 43.6404], [-90.8701, 43.6401]];
  const plot = await newPlot(request, 'Cut and mended', ring);
  await openSheet(page, plot.id);
  await searched(page);
  const cut = async (at: number) => {
    await page.getByRole('button', { name: 'Change the ground' }).click();
    await page.getByRole('button', { name: 'Cut in two' }).click();
    const where = await bearings(page);
    for (const lat of [43.64008, 43.640415]) await put(page, where([at, lat]));
    await page.getByRole('button', { name: 'Close it' }).click();
    await page.getByRole('button', { name: 'Cut', exact: true }).click();
    await expect(page.getByText('Cut here?')).toBeHidden();
  };
  const parts = async () => {
    const { items } = (await (await request.get('/api/v1/plots?limit=200')).json()) as { items: { name: string }[] };
    return items.map((one) => one.name).filter((name) => name.startsWith('Cut and mended, ')).sort();
  };
  await cut(-90.86975);
  await expect.poll(parts).toEqual(['Cut and mended, part 2']);
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect.poll(parts).toEqual([]);
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates[0]).toEqual(ring);
  await page.getByRole('button', { name: 'Redo' }).first().click();
  await expect.poll(parts).toEqual(['Cut and mended, part 2']);
  await searched(page);
  await cut(-90.8699);
  await expect.poll(parts).toEqual(['Cut and mended, part 2', 'Cut and mended, part 3']);
});

for (const [size, viewport] of [['a laptop', { width: 1440, height: 900 }], ['a phone', { width: 390, height: 844 }]] as const) {
  test(`a plot that was fitted lies clear of what is over the map of ${size}`, async ({ page, request }) => {
    await page.setViewportSize(viewport);
    const [w, s, e, n] = [-90.8301, 43.6501, -90.8276, 43.65191]; // ten acres
    const plot = await newPlot(request, `Ten acres on ${size}`, [[w, s], [e, s], [e, n], [w, n], [w, s]]);
    await openSheet(page, plot.id);
    await searched(page);
    const where = await bearings(page);
    const over = ['.scale', '.north', '.views', '.rest', '.where'];
    const boxes = await Promise.all(over.map(async (name) => ({ name, ...(await page.locator(name).first().boundingBox())! })));
    for (const corner of [[w, s], [e, s], [e, n], [w, n]] as LonLat[]) {
      const at = where(corner);
      const under = boxes.filter((box) => at.x > box.x - 4 && at.x < box.x + box.width + 4 && at.y > box.y - 4 && at.y < box.y + box.height + 4);
      expect(under.map((box) => box.name), `${corner} at ${at.x}, ${at.y}`).toEqual([]);
    }
  });
}

test('a circle that was taped straight across has the size of a circle', async ({ page, request }) => {
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('Round a lone oak');
  await page.getByLabel('How is it measured?').selectOption('tape');
  await page.getByLabel('Shape', { exact: true }).selectOption('circle');
  await page.getByLabel('Straight across').fill('118 ft');
  await page.getByLabel('Straight across').press('Tab');
  await page.getByRole('button', { name: 'Make the outline' }).click();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Round a lone oak');
  await searched(page);
  const acres = (Math.PI * 59 ** 2) / 43_560;
  await expect(figure(page, 'Measured')).toHaveText(`${acres.toFixed(2)} ac`);
  await expect.poll(async () => Math.abs(lengthOf(await figure(page, 'Round the edge').innerText()) / (Math.PI * 118 * footM) - 1)).toBeLessThan(0.005);
  const id = page.url().split('/').at(-1)!;
  const { items } = (await (await request.get(`/api/v1/surveys?plot_id=${id}`)).json()) as {
    items: { method: string; area_m2: number; dimensions: { shape: string; lengths_m: number[] } }[];
  };
  expect(items).toHaveLength(1);
  expect(items[0]!.method).toBe('taped');
  expect(items[0]!.dimensions.shape).toBe('circle');
  expect(items[0]!.dimensions.lengths_m[0]).toBeCloseTo(118 * footM, 6);
  expect(items[0]!.area_m2 / (Math.PI * (59 * footM) ** 2)).toBeCloseTo(1, 3);
});
