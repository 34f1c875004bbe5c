// Outlines that come in: every format, many plots in one, corners, a tape, and
// what is wrong with them said beside the field.
import { readFileSync } from 'node:fs';
import { expect, test } from '@playwright/test';
import { zipSync } from 'fflate';
import { figure, plotByName, searched } from './notebook';

const sample = (name: string) => new URL(`../../${name}`, import.meta.url).pathname;

const one = [
  ['GeoJSON', 'fixtures/outlines/owl-bench.geojson', '0.27 ac'],
  ['GPX', 'fixtures/outlines/kettle-edge.gpx', '0.54 ac'],
  ['KML', 'testdata/outlines/ring.kml', /ac|sq ft/],
] as const;

for (const [format, path, area] of one) {
  test(`reads ${format}`, async ({ page }) => {
    await page.goto('/#/new');
    await page.getByLabel('Name', { exact: true }).fill(`From ${format}`);
    await page.getByLabel(/Choose a file/).setInputFiles(sample(path));
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
