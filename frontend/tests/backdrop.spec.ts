// A picture of the person's own, laid under the paper by its world file.
import { expect, test, type Page } from '@playwright/test';
import { bearings, type Spot } from './hand';
import { newPlot, openSheet, quarterAcre, searched } from './notebook';

const wide = 40;
const high = 20;

/** A picture in two halves, red over blue, as a file. */
async function halves(page: Page): Promise<Buffer> {
  const address = await page.evaluate(
    ([w, h]) => {
      const canvas = Object.assign(document.createElement('canvas'), { width: w, height: h });
      const brush = canvas.getContext('2d')!;
      brush.fillStyle = '#f00';
      brush.fillRect(0, 0, w!, h! / 2);
      brush.fillStyle = '#00f';
      brush.fillRect(0, h! / 2, w!, h! / 2);
      return canvas.toDataURL('image/png');
    },
    [wide, high] as const,
  );
  return Buffer.from(address.split(',')[1]!, 'base64');
}

/** The colour that the screen shows at a spot. */
async function colour(page: Page, at: Spot): Promise<number[]> {
  const shot = await page.screenshot({ clip: { x: at.x, y: at.y, width: 1, height: 1 } });
  return page.evaluate(async (data) => {
    const bitmap = await createImageBitmap(new Blob([Uint8Array.from(atob(data), (c) => c.charCodeAt(0))]));
    const brush = new OffscreenCanvas(1, 1).getContext('2d')!;
    brush.drawImage(bitmap, 0, 0);
    return [...brush.getImageData(0, 0, 1, 1).data.slice(0, 3)];
  }, shot.toString('base64'));
}

test('lays a picture where its world file says', async ({ page, request }) => {
  const plot = await newPlot(request, 'Over a picture', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  // 0.002 degrees wide about the plot, its middle line through the plot's middle.
  const degreesAcross = 0.002 / wide;
  const degreesDown = 0.001 / high;
  const [west, north] = [-90.86085, 43.710715];
  const lines = [degreesAcross, 0, 0, -degreesDown, west + degreesAcross / 2, north - degreesDown / 2];
  const picture = { name: 'flight.png', mimeType: 'image/png', buffer: await halves(page) };
  const world = { name: 'flight.pgw', mimeType: 'text/plain', buffer: Buffer.from(lines.join('\n')) };

  await page.getByRole('button', { name: 'Imagery' }).click();
  await page.getByRole('button', { name: 'Lay it under' }).click();
  await expect(page.getByRole('alert')).toContainText('Give the picture');
  await page.getByLabel(/Picture, and its world file/).setInputFiles([world, picture]); // as a folder lists them
  await expect(page.getByLabel('West edge')).toHaveValue(/^-90\.8608/);
  await expect(page.getByLabel('South edge')).toHaveValue(/^43\.7097/);
  await page.getByRole('button', { name: 'Lay it under' }).click();
  await page.getByRole('button', { name: 'Close' }).click();

  const where = await bearings(page);
  const northOfPlot = where([-90.86005, 43.71037]);
  const southOfPlot = where([-90.86005, 43.71006]);
  await expect.poll(() => colour(page, northOfPlot)).toEqual([255, 0, 0]);
  await expect.poll(() => colour(page, southOfPlot)).toEqual([0, 0, 255]);

  await page.reload();
  await expect.poll(() => colour(page, northOfPlot)).toEqual([255, 0, 0]);
  expect(await page.evaluate(() => localStorage.getItem('evenfall.choices'))).not.toContain('data:');
  await page.getByRole('button', { name: 'Imagery' }).click();
  await page.getByRole('button', { name: 'No picture' }).click();
  await expect.poll(() => colour(page, northOfPlot)).not.toEqual([255, 0, 0]);
});

test('lays the same picture anew when its edges are put right', async ({ page, request }) => {
  const plot = await newPlot(request, 'Over a picture put right', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const where = await bearings(page);
  const northOfPlot = where([-90.86005, 43.71037]);
  const picture = { name: 'flight.png', mimeType: 'image/png', buffer: await halves(page) };
  const lay = async (south: string, north: string) => {
    await page.getByRole('button', { name: 'Imagery' }).click();
    await page.getByLabel(/Picture, and its world file/).setInputFiles(picture);
    for (const [edge, value] of [['West', '-90.86085'], ['East', '-90.85885'], ['South', south], ['North', north]]) await page.getByLabel(`${edge} edge`).fill(value!);
    await page.getByRole('button', { name: 'Lay it under' }).click();
    await page.getByRole('button', { name: 'Close' }).click();
  };
  await lay('43.709715', '43.710715');
  await expect.poll(() => colour(page, northOfPlot)).toEqual([255, 0, 0]);
  await lay('43.710015', '43.711015');
  await expect.poll(() => colour(page, northOfPlot)).toEqual([0, 0, 255]);
});

test('says what to do with a picture that cannot be shown', async ({ page, request }) => {
  const plot = await newPlot(request, 'Over no picture', quarterAcre);
  await openSheet(page, plot.id);
  await page.getByRole('button', { name: 'Imagery' }).click();
  const entry = page.getByLabel(/Picture, and its world file/);
  await entry.setInputFiles({ name: 'flight.tif', mimeType: 'image/tiff', buffer: Buffer.from('II*\0 no picture') });
  await expect(page.getByRole('alert')).toContainText('cannot show flight.tif: save it as JPEG or PNG');
  await expect(entry).toHaveAccessibleDescription(/JPEG or PNG/);
  await entry.setInputFiles({ name: 'flight.png', mimeType: 'image/png', buffer: await halves(page) });
  await expect(page.getByRole('alert')).toBeHidden();
});

test('shows coarser tiles where a service has none so near', async ({ page, request }) => {
  const deepest = 16;
  const asked: number[] = [];
  await page.route('**/tiles/**', (route) => {
    const [, level] = /\/tiles\/(\d+)\//.exec(route.request().url()) ?? [];
    if (level) asked.push(Number(level));
    if (!level || Number(level) > deepest) return route.fulfill({ status: 404 });
    return route.fulfill({ contentType: 'image/svg+xml', body: '<svg xmlns="http://www.w3.org/2000/svg" width="256" height="256"><rect width="256" height="256" fill="#0a0"/></svg>' });
  });
  const plot = await newPlot(request, 'Over coarse tiles', quarterAcre);
  await page.addInitScript(() => localStorage.setItem('evenfall.choices', JSON.stringify({ tiles: { url: '/tiles/{z}/{x}/{y}', attribution: 'invented' } })));
  await openSheet(page, plot.id);
  await searched(page);
  const where = await bearings(page);
  const outside = where([-90.86005, 43.71035]); // beside the spread
  await expect.poll(() => colour(page, outside)).toEqual([0, 170, 0]);
  expect(Math.max(...asked)).toBeGreaterThan(deepest);
});

test('fills in an example of national imagery, and fetches nothing of it', async ({ page, request }) => {
  const strangers: string[] = [];
  page.on('request', (r) => !r.url().startsWith('http://127.0.0.1') && r.url().startsWith('http') && strangers.push(r.url()));
  const plot = await newPlot(request, 'Shown an example', quarterAcre);
  await openSheet(page, plot.id);
  await page.getByRole('button', { name: 'Imagery' }).click();
  await page.getByRole('button', { name: /Fill in an example/ }).click();
  for (const part of ['{z}', '{x}', '{y}']) await expect(page.getByLabel('Tile address')).toHaveValue(new RegExp(`^https://.*\\${part}`));
  await expect(page.getByLabel('Whose imagery it is')).toHaveValue(/public domain/);
  await searched(page);
  expect(strangers).toEqual([]);
});
