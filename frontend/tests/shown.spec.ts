// What the page shows of the sheet beside its figures: the legend of the
// colours, what is due, the hopper in layers, the refills of the drive, the
// page as it prints itself, whose imagery lies under it.
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { expect, test, type APIRequestContext, type Page } from '@playwright/test';
import { figure, keptSheet, newPlot, openSheet, ownGoods, quarterAcre, searched } from './notebook';

interface Layer {
  material: string;
  mass_kg: number;
  volume_m3?: number;
}
interface Sheet {
  mix: string;
  drive: { passes: unknown[]; refills: { after_load: number; pass: number }[] };
  loads: { number: number; mass_kg: number; layers: number; layer: Layer[] }[];
  afterwards: { top_dressing?: Window; due?: Window[] };
}
interface Window {
  what: string;
  from: string;
  to: string;
}

/** The server's own sheet of a plot with its goods. */
async function sheetOf(page: Page, request: APIRequestContext): Promise<Sheet> {
  const path = (await page.getByRole('link', { name: 'GeoJSON' }).getAttribute('href'))!.replace('sheet.geojson', 'sheet');
  const reply = await request.get(path, { headers: { Accept: 'application/json' } });
  expect(reply.ok(), await reply.text()).toBe(true);
  return (await reply.json()) as Sheet;
}

const legend = (page: Page) => page.getByRole('figure', { name: /Legend of the spread/ });
const steps = async (page: Page) => (await legend(page).getByRole('listitem').allInnerTexts()).map(parseFloat);

test('the legend counts in pounds to the acre, kilograms to the hectare, or seeds to the square foot', async ({ page, request }) => {
  const { spreader, mix } = await ownGoods(request, 'Legend');
  const plot = await newPlot(request, 'Legend', quarterAcre, { spreader_id: spreader.id, mix_id: mix.id });
  await openSheet(page, plot.id);
  await searched(page);
  await expect(legend(page).locator('figcaption')).toHaveText('lb/ac');
  const target = (0.0100877 + 0.0280213) * 8921.79; // what is spread together, kg/m2 as lb/ac
  const ends = [0.5, 0.75, 0.9, 1.1, 1.25, 1.5];
  const near = async (whole: number, share: number) => {
    const found = await steps(page);
    expect(found).toHaveLength(ends.length);
    for (const [i, end] of ends.entries()) expect(Math.abs(found[i]! / (end * whole) - 1), `step ${i}: ${found[i]}`).toBeLessThan(share);
  };
  await near(target, 0.02);
  await page.getByRole('button', { name: 'm, kg' }).click();
  await expect(legend(page).locator('figcaption')).toHaveText('kg/ha');
  await near((0.0100877 + 0.0280213) * 10_000, 0.02);
  await page.getByRole('button', { name: 'ft, lb' }).click();

  const oats = { name: 'Oats alone', items: [{ material: 'oats', rate: { mass_kg_per_m2: 0.0100877 } }] };
  const alone = (await (await request.post('/api/v1/mixes', { data: { name: oats.name, document: oats } })).json()) as { id: string };
  const second = await newPlot(request, 'Legend in seeds', quarterAcre, { spreader_id: spreader.id, mix_id: alone.id });
  await openSheet(page, second.id);
  await searched(page);
  await expect(legend(page).locator('figcaption')).toHaveText('seeds/sq ft');
  const counted = await steps(page);
  expect(counted[5]! / counted[0]!).toBeCloseTo(3, 0);
  expect(counted[0]!).toBeGreaterThan(1);
});

test('the front page says what is due next and how each plot stands', async ({ page, request }) => {
  const bare = await newPlot(request, 'Not measured');
  const drawn = await newPlot(request, 'Only measured', quarterAcre);
  const sown = await newPlot(request, 'Sown of late', quarterAcre);
  const day = new Date(Date.now() - 3 * 86_400_000).toISOString().slice(0, 10);
  const kept = await keptSheet(request, sown.id, day);
  const sheet = (await (await request.get(`/api/v1/sheets/${kept.id}/sheet`)).json()) as Sheet;
  const today = new Date().toISOString().slice(0, 10);
  const windows = [sheet.afterwards.top_dressing, ...(sheet.afterwards.due ?? [])].filter((w): w is Window => w !== undefined && w.to >= today);
  const next = windows.sort((a, b) => (a.from < b.from ? -1 : 1))[0]!;
  const written = (date: string) => new Date(`${date}T12:00:00Z`).toLocaleDateString('en-GB', { day: 'numeric', month: 'long', year: 'numeric', timeZone: 'UTC' });

  await page.goto('/');
  const due = page.getByRole('region', { name: 'Due' });
  await expect(due.getByRole('link', { name: /^Sown of late/ })).toHaveText(`Sown of late: ${next.what.toLowerCase()}, ${written(next.from)} to ${written(next.to)}`);
  await expect(due.getByRole('link', { name: /Only measured|Not measured/ })).toHaveCount(0);
  const card = (id: string) => page.locator(`.plots a[href="#/plot/${id}"]`);
  await expect(card(sown.id)).toContainText(`${sheet.mix}, sheet of ${written(day)}`);
  await expect(card(drawn.id)).toContainText('measured, no sheet kept');
  await expect(card(bare.id)).toContainText('not measured yet');
  await due.getByRole('link', { name: /^Sown of late/ }).click();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Sown of late');
});

test('the hopper is drawn in as many layers, as thick as what is poured', async ({ page, request }) => {
  const { spreader, mix } = await ownGoods(request, 'Layers');
  const plot = await newPlot(request, 'Layers', quarterAcre, { spreader_id: spreader.id, mix_id: mix.id });
  await openSheet(page, plot.id);
  await searched(page);
  const load = (await sheetOf(page, request)).loads[0]!;
  expect(load.layers).toBeGreaterThan(1);
  expect(load.layer).toHaveLength(2);
  const picture = page.getByRole('img', { name: `The hopper, ${load.layers} layers of ${load.layer.map((l) => l.material).join(' and ')}` }).first();
  await expect(picture).toBeVisible();
  const slabs = await picture.locator('rect').evaluateAll((all) => all.map((one) => ({ y: Number(one.getAttribute('y')), height: Number(one.getAttribute('height')), kind: one.getAttribute('class')!.slice(0, 2) })));
  expect(slabs.map((one) => one.kind)).toEqual(Array.from({ length: load.layers }, () => ['s0', 's1']).flat());
  for (const [i, one] of slabs.entries()) if (i > 0) expect(one.y + one.height).toBeCloseTo(slabs[i - 1]!.y, 6); // each lies on the one before
  const size = (l: Layer) => (load.layer.every((one) => one.volume_m3) ? l.volume_m3! : l.mass_kg);
  for (let i = 0; i < slabs.length; i += 2) expect(slabs[i]!.height / slabs[i + 1]!.height).toBeCloseTo(size(load.layer[0]!) / size(load.layer[1]!), 6);
});

test('the drive stops to refill where the load runs out, and starts full again', async ({ page, request }) => {
  const machine = { name: 'Small hopper', patterns: { usual: { shape: 'triangle', throw_m: 7.9248 } }, hopper_kg: 15, turn_radius_m: 2.4384 };
  const spreader = (await (await request.post('/api/v1/spreaders', { data: { name: machine.name, document: machine } })).json()) as { id: string };
  const { mix } = await ownGoods(request, 'Refills');
  const plot = await newPlot(request, 'Refilled', quarterAcre, { spreader_id: spreader.id, mix_id: mix.id });
  await openSheet(page, plot.id);
  await searched(page);
  const { loads, drive } = await sheetOf(page, request);
  expect(loads.length).toBeGreaterThan(1);
  expect(drive.refills).toHaveLength(loads.length - 1);
  const slider = page.getByRole('slider');
  const status = page.getByText(/in the hopper$/);
  const total = Number(await slider.getAttribute('max'));
  const at: { load: number; pass: number; pounds: number }[] = [];
  for (let i = 1; i <= 120; i++) {
    await slider.evaluate((input, seconds) => {
      (input as HTMLInputElement).value = String(seconds);
      input.dispatchEvent(new Event('input', { bubbles: true }));
    }, (total * i) / 120);
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    const words = await status.innerText();
    const [, load, pounds, unit] = /load (\d+), ([\d.]+) (lb|oz)/.exec(words)!;
    at.push({ load: Number(load), pass: Number(/pass (\d+)/.exec(words)?.[1] ?? 0), pounds: Number(pounds) / (unit === 'oz' ? 16 : 1) });
  }
  expect([...new Set(at.map((one) => one.load))]).toEqual(loads.map((one) => one.number));
  for (let i = 1; i < at.length; i++) {
    const [before, now] = [at[i - 1]!, at[i]!];
    if (now.load === before.load) expect(now.pounds).toBeLessThanOrEqual(before.pounds);
    else expect(now.pounds).toBeGreaterThan(before.pounds); // filled between the two
  }
  expect(at.at(-1)!.pounds).toBeLessThan(1.2); // the mass is shown to half a kilogram
  for (const { after_load, pass } of drive.refills) expect(at.filter((one) => one.load === after_load && one.pass > 0).at(-1)!.pass).toBe(pass);
});

test('the sheet prints itself: ground, passes and loads, and nothing to press', async ({ page, request }) => {
  const { spreader, mix } = await ownGoods(request, 'Own print');
  const plot = await newPlot(request, 'Printed by itself', quarterAcre, { spreader_id: spreader.id, mix_id: mix.id });
  await openSheet(page, plot.id);
  await searched(page);
  const { drive, loads } = await sheetOf(page, request);
  const ground = page.locator('main svg', { has: page.locator('marker') }).first();
  await expect(ground).toBeHidden();
  await page.emulateMedia({ media: 'print' });
  await expect(ground).toBeVisible();
  await expect(ground.locator('text')).toHaveText(drive.passes.map((_, i) => String(i + 1)));
  await expect(ground.locator('path[marker-end]')).toHaveCount(drive.passes.length);
  for (const name of ['The ground', 'The passes', 'The loads']) await expect(page.getByRole('heading', { name, exact: true })).toBeVisible();
  await expect(figure(page, 'Measured')).toBeVisible();
  const pressed = await page.evaluate(() =>
    [...document.querySelectorAll('button, a[href], summary, input[type=range], input[type=date], input[type=file], [role=application]')]
      .filter((e) => e.checkVisibility({ visibilityProperty: true }) && !e.closest('dd')) // figures are words on paper
      .map((e) => (e.textContent ?? '').trim() || e.getAttribute('aria-label') || e.outerHTML.slice(0, 80)),
  );
  expect(pressed).toEqual([]);
  writeFileSync('test-results/by-itself.pdf', await page.pdf({ format: 'Letter' }));
  const text = execFileSync('pdftotext', ['-layout', 'test-results/by-itself.pdf', '-'], { encoding: 'utf8' });
  for (const words of ['The ground', 'The passes', 'The loads', 'To buy', `Load ${loads[0]!.number}`]) expect(text).toContain(words);
  expect(text).not.toContain('Play the drive');
});

test('whose imagery it is stands on the map', async ({ page, request }) => {
  await page.route('**/tiles/**', (route) => route.fulfill({ contentType: 'image/svg+xml', body: '<svg xmlns="http://www.w3.org/2000/svg"/>' }));
  const plot = await newPlot(request, 'Over tiles', quarterAcre);
  await page.addInitScript(() => localStorage.setItem('evenfall.choices', JSON.stringify({ tiles: { url: '/tiles/{z}/{x}/{y}', attribution: 'Our own flight of May' } })));
  await openSheet(page, plot.id);
  await searched(page);
  await expect(page.getByRole('region', { name: 'Map' }).getByText('Our own flight of May')).toBeVisible({ timeout: 4000 });
});
