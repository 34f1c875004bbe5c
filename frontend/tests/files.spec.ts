// Outlines that come in: every format, many plots in one, corners, a tape, and
// what is wrong with them said beside the field.
import { readFileSync } from 'node:fs';
import { expect, test, type Page } from '@playwright/test';
import { zipSync } from 'fflate';
import { violations } from './axe';
import { figure, plotByName, searched } from './notebook';

const sample = (name: string) => new URL(`../../${name}`, import.meta.url).pathname;

const one = [
  ['GeoJSON', 'fixtures/outlines/owl-bench.geojson', '0.27 ac'],
  ['GPX', 'fixtures/outlines/kettle-edge.gpx', '0.54 ac'],
  ['KML', 'testdata/outlines/ring.kml', /ac|sq ft/],
] as const;

/** Makes new plots though the demo, or another test, has plots of these outlines. */
async function allTheSame(page: Page): Promise<void> {
  const again = page.getByRole('button', { name: /^Make another plot of it|all the same$/ });
  await again.or(page.getByRole('textbox', { name: 'Name of the plot' })).or(page.getByRole('heading', { name: 'Evenfall' })).first().waitFor();
  if (await again.isVisible()) await again.click();
}

for (const [format, path, area] of one) {
  test(`reads ${format}`, async ({ page }) => {
    await page.goto('/#/new');
    await page.getByLabel('Name', { exact: true }).fill(`From ${format}`);
    await page.getByLabel(/Choose a file/).setInputFiles(sample(path));
    await allTheSame(page);
    await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue(`From ${format}`);
    await expect(figure(page, 'Measured')).toHaveText(area);
    await expect(page.getByText(/^(uploaded|walked) \d/)).toBeVisible();
  });
}

test('reads KMZ, told by its content', async ({ page }) => {
  const kml = readFileSync(sample('testdata/outlines/ring.kml'));
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('From KMZ');
  await page.getByLabel(/Choose a file/).setInputFiles({
    name: 'no-ending',
    mimeType: 'application/octet-stream',
    buffer: Buffer.from(zipSync({ 'doc.kml': new Uint8Array(kml) })),
  });
  await allTheSame(page);
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('From KMZ');
});

test('names the plots of a KML as its folders do', async ({ page, request }) => {
  await page.goto('/#/new');
  await page.getByLabel(/Choose a file/).setInputFiles(sample('testdata/outlines/folders.kml'));
  await expect(page.getByText('Alder loop')).toBeVisible();
  await expect(page.getByText('Pair')).toBeVisible();
  await page.getByRole('button', { name: 'Take 2 plots' }).click();
  await expect(page.getByRole('heading', { name: 'Evenfall' })).toBeVisible();
  const loop = (await plotByName(request, 'Alder loop'))!;
  expect(loop.outline!.coordinates).toHaveLength(2); // with its hole
});

test('offers every plot of a file with many, and takes those that are wanted', async ({ page, request }) => {
  await page.goto('/#/new');
  await page.getByLabel(/Choose a file/).setInputFiles(sample('testdata/outlines/collection.geojson'));
  const offers = page.getByRole('button', { pressed: true });
  await expect(page.getByText(/plots are in this file/)).toBeVisible();
  const names = await page.locator('li button > span').allInnerTexts();
  expect(names.length).toBeGreaterThan(2);
  const bare = (words: string) => words.replace(/^\S+ \S+ /, '').replace(/^sq ft /, '').replace(/^ft /, '');
  await page.locator('li button').first().click(); // not this one
  await page.getByRole('button', { name: `Take ${names.length - 1} plots` }).click();
  await expect(page.getByRole('heading', { name: 'Evenfall' })).toBeVisible();
  expect(await plotByName(request, bare(names[1]!))).toBeDefined();
  expect(await plotByName(request, bare(names[0]!))).toBeUndefined();
});

test('reads a zipped shapefile', async ({ page, request }) => {
  const part = (ending: string) => new Uint8Array(readFileSync(sample(`testdata/outlines/shapefile/plots.${ending}`)));
  await page.goto('/#/new');
  await page.getByLabel(/Choose a file/).setInputFiles({
    name: 'plots.zip',
    mimeType: 'application/zip',
    buffer: Buffer.from(zipSync(Object.fromEntries(['shp', 'shx', 'dbf', 'prj', 'cpg'].map((e) => [`plots.${e}`, part(e)])))),
  });
  await page.getByRole('button', { name: 'Take 3 plots' }).click();
  await allTheSame(page);
  await expect(page.getByRole('heading', { name: 'Evenfall' })).toBeVisible();
  for (const name of ['Upper shelf', 'Gate strip', 'Åkant']) expect(await plotByName(request, name)).toBeDefined();
});

test('a dropped file is read like a chosen one', async ({ page }) => {
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('Dropped');
  const text = readFileSync(sample('fixtures/outlines/owl-bench.geojson'), 'utf8');
  const data = await page.evaluateHandle((content) => {
    const transfer = new DataTransfer();
    transfer.items.add(new File([content], 'any.txt'));
    return transfer;
  }, text);
  await page.getByText('Choose a file, or drop it here').dispatchEvent('drop', { dataTransfer: data });
  await allTheSame(page);
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Dropped');
});

test('pastes corners, and says which line cannot be read', async ({ page }) => {
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('Pasted');
  await page.getByLabel('How is it measured?').selectOption('paste');
  const box = page.getByLabel('Corners, one to a line');
  await box.fill('43.7101, -90.8601\nover the hill\n43.7104, -90.8596');
  await page.getByRole('button', { name: 'Make the outline' }).click();
  await expect(box).toHaveAttribute('aria-invalid', 'true');
  await expect(page.locator('.error')).toContainText(/line 2/i);
  await box.fill('43.7101, -90.8601\n43.7101, -90.8596\n43.7104, -90.8596');
  await page.getByRole('button', { name: 'Make the outline' }).click();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Pasted');
});

test('refuses what is no outline and says what to do', async ({ page }) => {
  await page.goto('/#/new');
  await page.getByLabel(/Choose a file/).setInputFiles({ name: 'holiday.gpx', mimeType: 'text/plain', buffer: Buffer.from('wish you were here') });
  await expect(page.getByRole('alert')).toHaveText(/\w/);
});

test('makes an outline of a taped triangle', async ({ page }) => {
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('Three sides');
  await page.getByLabel('How is it measured?').selectOption('tape');
  await page.getByLabel('Shape').selectOption('triangle');
  for (const [label, text] of [['First side', '120 ft'], ['Second side', '160'], ['Third side', '200 ft']] as const) {
    await page.getByLabel(label, { exact: true }).fill(text);
    await page.getByLabel(label, { exact: true }).press('Tab');
  }
  await page.getByRole('button', { name: 'Make the outline' }).click();
  await searched(page);
  await expect(figure(page, 'Measured')).toHaveText('0.22 ac'); // 9600 sq ft
  await expect(page.getByText(/^taped/)).toBeVisible();
});

// 40 by 35 paces of 2.5 ft are 8,750 sq ft: 0.2 ac.
test('asks how long a pace is, and counts in paces', async ({ page }) => {
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('Stepped off');
  await page.getByLabel('How is it measured?').selectOption('tape');
  await page.getByLabel('Measured by').selectOption('paced');
  await expect(page.getByLabel('One pace is')).toHaveValue('2 ft 6 in');
  await expect(page.getByRole('button', { name: 'Make the outline' })).toBeDisabled();
  await expect(page.getByText('Every length is needed.')).toBeVisible();
  for (const [label, text] of [['Length, paces', '40'], ['Width, paces', '35']] as const) {
    await page.getByLabel(label, { exact: true }).fill(text);
    await page.getByLabel(label, { exact: true }).press('Tab');
  }
  await page.getByRole('button', { name: 'Make the outline' }).click();
  await searched(page);
  await expect(figure(page, 'Measured')).toHaveText('0.2 ac');
  await expect(page.getByText(/^paced/)).toBeVisible();
});

// By hand: left 2 * (30 + 40) / 2 * 50, right 100 * 20; 5,500 sq ft is 0.126 ac.
test('makes an outline of a baseline with offsets', async ({ page }) => {
  await page.goto('/#/new');
  await page.getByLabel('Name', { exact: true }).fill('Along the fence');
  await page.getByLabel('How is it measured?').selectOption('tape');
  await page.getByLabel('Shape').selectOption('baseline');
  const stations = [['0 ft', '30 ft', '20 ft'], ['50 ft', '40', '20'], ['100 ft', '30 ft', '20 ft']] as const;
  for (const [i, station] of stations.entries()) {
    const row = page.getByRole('group', { name: `Station ${i + 1}` });
    for (const [k, label] of ['Along', 'Left', 'Right'].entries()) {
      await row.getByLabel(label).fill(station[k]!);
      await row.getByLabel(label).press('Tab');
    }
  }
  await expect(page.getByRole('group', { name: 'Station 1' }).getByLabel('Along')).toHaveValue('0 ft');
  await page.getByRole('button', { name: 'Make the outline' }).click();
  await searched(page);
  await expect(figure(page, 'Measured')).toHaveText('0.13 ac');
  await expect(page.getByText(/^taped/)).toBeVisible();
});

/** A triangle that a file gives no name. */
const unnamed = (west: number) => ({
  name: 'unnamed.geojson',
  mimeType: 'application/json',
  buffer: Buffer.from(JSON.stringify({ type: 'Polygon', coordinates: [[[west, 43.65], [west + 0.0004, 43.65], [west + 0.0004, 43.6503], [west, 43.65]]] })),
});

test('numbers plots that have no name by the names that are taken', async ({ page, request }) => {
  const names: string[] = [];
  for (const west of [-90.81, -90.82, -90.83]) {
    await page.goto('/#/new');
    await page.getByLabel(/Choose a file/).setInputFiles(unnamed(west));
    const title = page.getByRole('textbox', { name: 'Name of the plot' });
    await expect(title).toHaveValue(/^Plot \d+$/);
    names.push(await title.inputValue());
  }
  expect(new Set(names).size).toBe(3);
  const { items } = (await (await request.get('/api/v1/plots?limit=200')).json()) as { items: { name: string }[] };
  const numbered = items.map((plot) => plot.name).filter((name) => /^Plot \d+$/.test(name));
  expect(new Set(numbered).size).toBe(numbered.length);
});

test('says that a plot of the same outline is there, and lets the person choose', async ({ page, request }) => {
  const count = async (name: string) => ((await (await request.get('/api/v1/plots?limit=200')).json()) as { items: { name: string }[] }).items.filter((plot) => plot.name === name).length;
  const upload = async () => {
    await page.goto('/#/new');
    await page.getByLabel('Name', { exact: true }).fill('Brought twice');
    await page.getByLabel(/Choose a file/).setInputFiles(unnamed(-90.84));
  };
  const title = page.getByRole('textbox', { name: 'Name of the plot' });
  await upload();
  await expect(title).toHaveValue('Brought twice');
  await upload();
  await expect(page.getByText('Brought twice has this very outline already.')).toBeVisible();
  for (const [size, width, height] of [['laptop', 1440, 900], ['phone', 390, 844]] as const) {
    await page.setViewportSize({ width, height });
    await page.getByText('Brought twice has this very outline already.').scrollIntoViewIfNeeded();
    await page.screenshot({ path: `test-results/outline-twice-${size}.png` });
    expect(await violations(page), size).toEqual([]);
  }
  expect(await count('Brought twice')).toBe(1);
  await page.getByRole('button', { name: 'Open Brought twice' }).click();
  await expect(title).toHaveValue('Brought twice');
  await upload();
  await page.getByRole('button', { name: 'Make another plot of it' }).click();
  await expect(title).toHaveValue('Brought twice');
  expect(await count('Brought twice')).toBe(2);

  // Of several, those that are new can be taken alone.
  await page.goto('/#/new');
  const features = [-90.84, -90.85].map((west) => ({ type: 'Feature', properties: { name: `Of two ${west}` }, geometry: JSON.parse(unnamed(west).buffer.toString()) as object }));
  await page.getByLabel(/Choose a file/).setInputFiles({ name: 'two.geojson', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify({ type: 'FeatureCollection', features })) });
  await page.getByRole('button', { name: 'Take 2 plots' }).click();
  await expect(page.getByText('1 of these 2 outlines is a plot already: Brought twice.')).toBeVisible();
  await page.getByRole('button', { name: 'Take the other one' }).click();
  await expect(title).toHaveValue('Of two -90.85');
  expect(await count('Of two -90.84')).toBe(0);
});
