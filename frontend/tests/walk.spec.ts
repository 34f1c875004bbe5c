// A walk round the edge, recorded by the phone itself: step by step, through a
// reload, with a receiver that is vague at first, and without leave to listen.
import { expect, test, type Page } from '@playwright/test';
import { violations } from './axe';
import { figure, plotByName, searched } from './notebook';

test.use({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 });

declare global {
  interface Window {
    /** The receiver of the phone tells where it is. */
    tell(lon: number, lat: number, accuracy: number, atMs: number): void;
  }
}

/** A receiver that this test moves: a second's step need not take a second. */
async function heldReceiver(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const hearers = new Map<number, PositionCallback>();
    let next = 1;
    navigator.geolocation.watchPosition = (hear) => {
      hearers.set(next, hear);
      return next++;
    };
    navigator.geolocation.clearWatch = (id) => void hearers.delete(id);
    window.tell = (longitude, latitude, accuracy, timestamp) => {
      for (const hear of hearers.values()) hear({ coords: { longitude, latitude, accuracy }, timestamp } as GeolocationPosition);
    };
  });
}

const [west, south] = [-90.7301, 43.5801];
const lat = (south * Math.PI) / 180;
const metresEast = 111_412.84 * Math.cos(lat) - 93.5 * Math.cos(3 * lat); // of a degree, on the ellipsoid
const metresNorth = 111_132.95 - 559.85 * Math.cos(2 * lat);
const [wide, high] = [40, 30]; // metres: 1,200 m2 are 0.30 ac
const cornersM = [[0, 0], [wide, 0], [wide, high], [0, high], [0, 0]] as const;

/** A step a second of 1.25 m along the edge, from a distance along it to another. */
async function walk(page: Page, fromM: number, toM: number): Promise<void> {
  const steps: [number, number, number, number][] = [];
  for (let along = fromM; along < toM; along += 1.25) {
    let [rest, side] = [along % (2 * (wide + high)), 0];
    const length = (i: number) => (i % 2 ? high : wide);
    while (rest >= length(side)) rest -= length(side++);
    const [a, b] = [cornersM[side]!, cornersM[side + 1]!];
    const share = rest / length(side);
    steps.push([
      west + (a[0] + share * (b[0] - a[0])) / metresEast,
      south + (a[1] + share * (b[1] - a[1])) / metresNorth,
      4,
      Date.UTC(2027, 3, 20, 12) + (along / 1.25) * 1000,
    ]);
  }
  await page.evaluate((all) => all.forEach((one) => window.tell(...one)), steps);
}

const told = (page: Page, what: string) => page.locator('div', { has: page.locator('dt', { hasText: what }) }).last().locator('dd');

test('walks round a plot with the phone and gets its acres, through a reload on the way', async ({ page, request }) => {
  await heldReceiver(page);
  await page.goto('/#/new');
  const begin = async () => {
    await page.getByLabel('Name', { exact: true }).fill('Walked round');
    await page.getByLabel('How is it measured?').selectOption('walk');
  };
  await begin();
  await page.getByRole('button', { name: 'Begin to walk' }).tap();
  await expect(page.getByText('waiting for the first position')).toBeVisible();
  await page.evaluate(([lon, la]) => window.tell(lon!, la!, 40, Date.UTC(2027, 3, 20, 11, 59)), [west, south]);
  await expect(page.getByText('Too vague to count')).toBeVisible();
  await walk(page, 0, 70);
  await expect(page.getByText('Too vague to count')).toBeHidden();
  await expect(told(page, 'Walked')).toHaveText('226 ft'); // the last of 56 steps, at 68.75 m
  await expect(told(page, 'Back to the start')).toHaveText(`${Math.round(Math.hypot(wide, 28.75) / 0.3048)} ft`);
  await expect(told(page, 'This spot to within')).toHaveText('13 ft');
  await expect(page.getByRole('button', { name: 'Stop here' })).toBeInViewport();
  await page.screenshot({ path: 'test-results/walking-phone.png' });
  expect(await violations(page)).toEqual([]);

  await page.reload();
  await begin();
  await expect(told(page, 'Walked')).toHaveText('226 ft');
  await page.getByRole('button', { name: 'Walk on' }).tap();
  await walk(page, 70, 2 * (wide + high) + 3);
  await page.getByRole('button', { name: 'Stop here' }).tap();
  await page.getByRole('button', { name: 'Make the outline' }).tap();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Walked round');
  await searched(page);
  await expect(figure(page, 'Measured')).toHaveText('0.3 ac');
  await expect(page.getByText(/^walked \d/)).toBeVisible();
  const plot = await plotByName(request, 'Walked round');
  const { items } = (await (await request.get(`/api/v1/surveys?plot_id=${plot.id}`)).json()) as { items: { method: string; area_m2: number; uncertainty_m2: number; note: string }[] };
  expect(items).toHaveLength(1);
  expect(items[0]!.method).toBe('walked');
  expect(Math.abs(items[0]!.area_m2 / (wide * high) - 1)).toBeLessThan(0.02);
  expect(items[0]!.uncertainty_m2).toBeGreaterThan(20); // a receiver that knows itself to 4 m
  expect(items[0]!.note).toContain('dropped because the receiver called them worse than 49 ft');
});

test('a walk beside the edge is moved to it, and one that does not come back says so', async ({ page }) => {
  await heldReceiver(page);
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('Driven inside');
  await page.getByLabel('How is it measured?').selectOption('walk');
  await page.getByRole('button', { name: 'Begin to walk' }).tap();
  await walk(page, 0, 80);
  await page.getByRole('button', { name: 'Stop here' }).tap();
  await page.getByRole('button', { name: 'Make the outline' }).tap();
  await expect(page.getByRole('alert')).toContainText(/start/);
  await page.getByRole('button', { name: 'Walk on' }).tap();
  await walk(page, 80, 2 * (wide + high) + 3);
  await page.getByRole('button', { name: 'Stop here' }).tap();
  await page.getByText('I walked beside the edge', { exact: true }).tap();
  await page.getByLabel('Away from the edge by').fill('2 m');
  await page.getByLabel('Away from the edge by').press('Tab');
  await expect(page.getByLabel('Away from the edge by')).toHaveValue(/ft/);
  await page.getByRole('button', { name: 'Make the outline' }).tap();
  await searched(page);
  await expect(figure(page, 'Measured')).toHaveText(`${(((wide + 4) * (high + 4)) / 4046.8564224).toFixed(2)} ac`);
});

test('a walk is thrown away only after a question', async ({ page }) => {
  await heldReceiver(page);
  await page.goto('/#/new');
  await page.getByLabel('How is it measured?').selectOption('walk');
  await page.getByRole('button', { name: 'Begin to walk' }).tap();
  await walk(page, 0, 30);
  await page.getByRole('button', { name: 'Stop here' }).tap();
  await page.getByRole('button', { name: 'Throw the walk away' }).tap();
  await page.getByRole('button', { name: 'No, keep it' }).tap();
  await expect(told(page, 'Walked')).toBeVisible();
  await page.getByRole('button', { name: 'Throw the walk away' }).tap();
  await page.getByRole('button', { name: 'Yes, throw it away' }).tap();
  await expect(page.getByRole('button', { name: 'Begin to walk' })).toBeVisible();
  expect(await page.evaluate(() => localStorage.getItem('evenfall.walk'))).toBeNull();
});

test.describe("with the browser's own receiver", () => {
  test('hears where the phone is', async ({ page, context }) => {
    await context.grantPermissions(['geolocation']);
    await context.setGeolocation({ longitude: west, latitude: south, accuracy: 6 });
    await page.goto('/#/new');
    await page.getByLabel('How is it measured?').selectOption('walk');
    await page.getByRole('button', { name: 'Begin to walk' }).tap();
    await expect(told(page, 'This spot to within')).toHaveText('20 ft');
    await context.setGeolocation({ longitude: west + 30 / metresEast, latitude: south, accuracy: 3 });
    await expect(told(page, 'Back to the start')).toHaveText('98 ft');
  });

  test('says what to do when it may not listen', async ({ page, context }) => {
    await context.clearPermissions();
    await page.goto('/#/new');
    await page.getByLabel('How is it measured?').selectOption('walk');
    await page.getByRole('button', { name: 'Begin to walk' }).tap();
    await expect(page.getByRole('alert')).toContainText('allow it for this page');
    await expect(page.getByRole('button', { name: 'Begin to walk' })).toBeVisible();
  });
});
