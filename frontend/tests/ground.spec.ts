// Drawing and changing the ground: mouse, finger, keyboard.
import { expect, test } from '@playwright/test';
import { bearings, clickRound, drag, lookAt, map, tapRound, touch } from './hand';
import { figure, newPlot, openSheet, quarterAcre, readPlot, searched, unfold } from './notebook';

const round: [number, number][] = [
  [0.2, 0.25],
  [0.75, 0.25],
  [0.75, 0.75],
  [0.2, 0.75],
];
const hole: [number, number][] = [
  [0.4, 0.45],
  [0.5, 0.45],
  [0.45, 0.56],
];

test('draws a plot with a hole by mouse', async ({ page, request }) => {
  const plot = await newPlot(request, 'Drawn by mouse');
  await lookAt(page, [-90.7501, 43.6001]); // no corner near by to snap to
  await openSheet(page, plot.id);
  await page.getByRole('button', { name: 'Draw the outline' }).click();
  await clickRound(page, round);
  await expect(figure(page, 'Measured')).toHaveText(/\d/);
  await searched(page);
  const before = await page.locator('.readout b').first().innerText();

  await page.getByRole('button', { name: 'Hole', exact: true }).click();
  await clickRound(page, hole);
  await expect(page.getByText('1 left out')).toBeVisible();
  await expect(page.locator('.readout b').first()).not.toHaveText(before);
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates.length).toBe(2);
});

test('drags a corner and sees acres and passes change', async ({ page, request }) => {
  const plot = await newPlot(request, 'Dragged', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const [area, length] = [figure(page, 'Measured'), figure(page, 'Gate open over')];
  const before = [await area.innerText(), await length.innerText()];
  await page.getByRole('button', { name: 'Change the ground' }).click();
  const where = await bearings(page);
  const corner = where(quarterAcre[2]!);
  await drag(page, corner, { x: corner.x - 150, y: corner.y + 60 });
  await expect(area).not.toHaveText(before[0]!);
  await searched(page);
  await expect(length).not.toHaveText(before[1]!);

  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect(area).toHaveText(before[0]!);
  await page.getByRole('button', { name: 'Redo' }).first().click();
  await expect(area).not.toHaveText(before[0]!);
  await expect.poll(async () => (await readPlot(request, plot.id)).revision).toBeGreaterThan(plot.revision);
});

test('adds and deletes a corner, and draws a keep-off line with its distance', async ({ page, request }) => {
  const plot = await newPlot(request, 'Corners', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  const where = await bearings(page);
  const middle = where([(quarterAcre[0]![0] + quarterAcre[1]![0]) / 2, quarterAcre[0]![1]]);
  await drag(page, middle, { x: middle.x, y: middle.y - 60 });
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates[0]?.length).toBe(6);
  await page.getByRole('group', { name: 'The chosen corner' }).getByRole('button', { name: 'Delete' }).click();
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates[0]?.length).toBe(5);

  await page.getByRole('button', { name: 'Keep off', exact: true }).click();
  const west = where([quarterAcre[0]![0] - 0.00003, quarterAcre[0]![1]]);
  const north = where([quarterAcre[0]![0] - 0.00003, quarterAcre[2]![1]]);
  await page.mouse.click(west.x, west.y);
  await page.waitForTimeout(320);
  await page.mouse.click(north.x, north.y);
  await page.waitForTimeout(320);
  await page.mouse.click(north.x, north.y);
  const distance = page.getByLabel('Stay away by');
  await expect(distance).toBeVisible();
  await distance.fill('25');
  await distance.press('Enter');
  await expect(distance).toHaveValue('25 ft');
});

test('cuts a plot in two', async ({ page, request }) => {
  const plot = await newPlot(request, 'To be cut', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  await page.getByRole('button', { name: 'Cut in two' }).click();
  const where = await bearings(page);
  const middle = (quarterAcre[0]![0] + quarterAcre[1]![0]) / 2;
  const [south, north] = [where([middle, quarterAcre[0]![1] - 0.00005]), where([middle + 0.00005, quarterAcre[2]![1] + 0.00004])];
  await page.mouse.click(south.x, south.y);
  await page.waitForTimeout(320);
  await page.mouse.click(north.x, north.y);
  await page.waitForTimeout(320);
  await page.mouse.click(north.x, north.y);
  await expect(page.getByText('Cut here?')).toBeVisible();
  await page.getByRole('button', { name: 'Cut', exact: true }).click();
  await page.getByRole('link', { name: 'All plots' }).click();
  await expect(page.getByText('To be cut, part 2')).toBeVisible();
});

test('the ground stays where it is while a corner is drawn, chosen or let go', async ({ page, request }) => {
  const plot = await newPlot(request, 'Steady', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  const sizes = () => page.evaluate(() => document.querySelector<HTMLElement>('[role=application]')!.clientHeight);
  const where = await bearings(page);
  const corners = await sizes();
  const corner = where(quarterAcre[0]!);
  await page.mouse.click(corner.x, corner.y);
  await expect(page.getByRole('group', { name: 'The chosen corner' })).toBeVisible();
  expect(await sizes()).toBe(corners);
  await page.getByRole('button', { name: 'Hole', exact: true }).click();
  const before = await sizes();
  const seen = new Set<number>();
  for (let done = 1; done <= hole.length; done++) {
    await touch(page, hole.slice(done - 1, done));
    seen.add(await sizes());
  }
  await expect(page.getByText('this edge')).toBeVisible();
  expect([...seen, await sizes()].filter((height) => height !== before)).toEqual([]);
});

test.describe('on a phone', () => {
  test.use({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 });

  test('draws a plot with a hole by finger', async ({ page, request }) => {
    const plot = await newPlot(request, 'Drawn by finger');
    await lookAt(page, [-90.7701, 43.6001]); // no corner near by to snap to
    await openSheet(page, plot.id);
    await page.getByRole('button', { name: 'Draw the outline' }).tap();
    await tapRound(page, round);
    await searched(page);
    await page.getByRole('button', { name: 'Hole', exact: true }).tap();
    await tapRound(page, hole);
    await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates.length).toBe(2);
    await page.screenshot({ path: 'test-results/drawn-by-finger.png' });
  });

  test('nothing is wider than the phone and every target is large enough', async ({ page, request }) => {
    const plot = await newPlot(request, 'Narrow', quarterAcre);
    await openSheet(page, plot.id);
    await searched(page);
    await unfold(page);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
    const small = await page.evaluate(() =>
      [...document.querySelectorAll('button, a[href], select, input:not([type=checkbox]):not([type=range]), summary')]
        .map((e) => ({ words: (e.textContent ?? '').trim() || e.getAttribute('aria-label'), box: e.getBoundingClientRect() }))
        .filter(({ box }) => box.width > 0 && (box.height < 47.5 || box.width < 38))
        .map(({ words, box }) => `${words}: ${box.width} x ${box.height}`),
    );
    expect(small).toEqual([]);
  });
});

test('keeps the view that a person chose while the ground is changed', async ({ page, request }) => {
  const plot = await newPlot(request, 'Looked at closely', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  const whole = await bearings(page);
  await map(page).focus();
  await page.keyboard.press('-');
  await page.waitForTimeout(500); // it glides
  const far = await bearings(page);
  const [a, b] = [quarterAcre[0]!, quarterAcre[1]!];
  const wide = (where: typeof far) => where(b).x - where(a).x;
  expect(wide(far)).toBeLessThan(0.7 * wide(whole));

  const south = far([(a[0] + b[0]) / 2, a[1]]);
  await drag(page, south, { x: south.x, y: south.y - 60 });
  await expect.poll(async () => (await readPlot(request, plot.id)).outline?.coordinates[0]?.length).toBe(6);
  await page.waitForTimeout(500); // a view that jumps does so at the next frame
  const after = await bearings(page);
  expect(wide(after)).toBeCloseTo(wide(far), -1);
  expect(after(a).x).toBeCloseTo(far(a).x, -1);
  expect(after(a).y).toBeCloseTo(far(a).y, -1);
});

test('a note typed and not left outlasts a reload', async ({ page, request }) => {
  const plot = await newPlot(request, 'Noted', quarterAcre);
  await openSheet(page, plot.id);
  await unfold(page);
  await page.getByLabel('Notes').pressSequentially('stumps by the gate');
  await expect.poll(async () => ((await readPlot(request, plot.id)) as { note?: string }).note).toBe('stumps by the gate');
  await expect(page.getByLabel('Notes')).toBeFocused();
  await page.keyboard.type(', wet');
  await page.reload();
  await unfold(page);
  await expect(page.getByLabel('Notes')).toHaveValue('stumps by the gate, wet');
});

test.describe('after the program was renewed', () => {
  test.use({ serviceWorkers: 'block' });

  test('says so when a part of the page does not come', async ({ page }) => {
    await page.goto('/');
    await page.route('**/assets/TripPage*', (route) => route.abort());
    await page.getByRole('link', { name: 'A day with several plots' }).click();
    await expect(page.getByRole('alert')).toContainText('could not be loaded');
    await page.unroute('**/assets/TripPage*');
    await page.getByRole('button', { name: 'Load the page again' }).click();
    await expect(page.getByRole('heading', { name: 'A day with several plots' })).toBeVisible();
  });

  test('says so when the imagery cannot be laid, and leaves the page as it is', async ({ page, request }) => {
    const plot = await newPlot(request, 'Without imagery', quarterAcre);
    await page.route('**/assets/tiles*', (route) => route.abort());
    await page.addInitScript(() => localStorage.setItem('evenfall.choices', JSON.stringify({ tiles: { url: '/tiles/{z}/{x}/{y}', attribution: 'invented' } })));
    await openSheet(page, plot.id);
    await expect(page.getByRole('alert')).toContainText('could not be loaded');
    await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toBeVisible();
  });
});
