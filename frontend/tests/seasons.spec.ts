// The seasons of a plot: guessed against measured, planned against used, and
// what a job teaches the spreader.
import { expect, test, type Page } from '@playwright/test';
import { figure, guessed, keptSheet, named, newPlot, openSheet, ownGoods, plotByName, quarterAcre, searched } from './notebook';

const acreM2 = 4046.8564224;
const band = (page: Page, date: string) => page.getByRole('article', { name: date });

test('teaches while no sheet is kept, and leads to the sheet', async ({ page, request }) => {
  const plot = await newPlot(request, 'No seasons yet', quarterAcre);
  await page.goto(`/#/seasons/${plot.id}`);
  await expect(page.getByRole('heading', { name: 'Seasons of No seasons yet' })).toBeVisible();
  await expect(page.getByText('No sheet of this plot is kept yet')).toBeVisible();
  await page.getByRole('link', { name: 'Open the sheet' }).click();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('No seasons yet');
});

test('shows season after season what was guessed and what was measured', async ({ page, request }) => {
  const plot = await newPlot(request, 'Two seasons', quarterAcre);
  await guessed(request, plot.id, 0.5 * acreM2);
  const goods = await ownGoods(request, 'Two seasons');
  await keptSheet(request, plot.id, '2026-09-05', goods);
  await keptSheet(request, plot.id, '2027-09-04', goods);
  await page.goto('/');
  await page.getByRole('link', { name: 'Seasons of Two seasons' }).click();
  await expect(page.getByRole('article')).toHaveCount(2);
  await expect(page.getByRole('article').first().getByRole('heading', { level: 2 })).toHaveText('4 September 2027');
  const older = band(page, '5 September 2026');
  await expect(older).toContainText('Two seasons mix');
  const guess = older.locator('.row', { hasText: 'Guessed' });
  await expect(guess).toContainText('0.5 ac');
  await expect(guess).toContainText(/19\d %|20\d %/); // of about a quarter acre
  await expect(older.locator('.row', { hasText: /^Measured/ })).toContainText('0.25 ac');
  await expect(older).toContainText('not said yet what was used');
  for (const asks of await older.locator('dd button').all()) {
    await asks.click();
    await expect(page.locator(`[id="${await asks.getAttribute('aria-controls')}"]`)).toHaveText(/\w{3,}/);
    await asks.click();
  }
  await page.getByRole('button', { name: 'm, kg' }).click();
  await expect(guess).toContainText(' m²');
  await page.emulateMedia({ media: 'print' });
  await expect(older.getByText('After the job')).toBeHidden();
  await expect(guess).toBeVisible();
});

test('takes what was used, and the spreader learns only when it is told to', async ({ page, request }) => {
  const plot = await newPlot(request, 'The gate learns', quarterAcre);
  const sheet = await keptSheet(request, plot.id, '2026-09-05', await ownGoods(request, 'Learning'));
  const before = (await named(request, '/spreaders', 'Learning hopper')).revision;
  await page.goto(`/#/seasons/${plot.id}/${sheet.id}`);
  const filling = page.getByRole('group', { name: /13-13-13/ }).filter({ has: page.getByLabel('Passes driven') });
  await expect(filling).toBeVisible();
  await expect(filling.getByText(/the sheet said notch|the mark on its scale/)).toBeVisible();

  // What cannot be read is told beside its entry.
  const oats = filling.getByLabel('Used of oats');
  await oats.fill('plenty');
  await oats.press('Tab');
  await expect(oats).toHaveAttribute('aria-invalid', 'true');
  await filling.getByLabel('Passes driven').fill('999');
  await oats.fill('25 lb');
  await oats.press('Tab');
  const fertilizer = filling.getByLabel('Used of complete fertilizer 13-13-13');
  await fertilizer.fill('70 lb');
  await fertilizer.press('Tab');
  await expect(filling.getByText(/The sheet has \d+ passes/)).toBeVisible();
  await filling.getByLabel('Passes driven').fill('');
  await expect(figure(page, 'Really went on')).toHaveText('25 lb');

  await page.getByRole('button', { name: 'Keep what was used' }).click();
  const line = band(page, '5 September 2026');
  await expect(line.locator('.state')).toContainText('spread on');
  await expect(line.locator('.row', { hasText: 'Used' }).first()).toContainText('25 lb');
  expect((await named(request, '/spreaders', 'Learning hopper')).revision).toBe(before);

  // Of the mixture there is no catch test: the job can be the first one.
  await page.getByLabel('Gate at').first().fill('5');
  await expect(page.getByText(/The job can serve as the first/)).toBeVisible();
  await page.getByRole('button', { name: 'Keep it as a catch test' }).first().click();
  await expect(page.getByText('Kept with Learning hopper')).toBeVisible();
  expect((await named(request, '/spreaders', 'Learning hopper')).revision).toBe(before + 1);

  // The next job of the same mixture is held against it.
  await page.reload();
  await page.getByLabel('Gate at').first().fill('5');
  await page.getByLabel('Used of oats').fill('28 lb');
  await page.getByLabel('Used of oats').press('Tab');
  await page.getByLabel('Used of complete fertilizer 13-13-13').fill('78.4 lb');
  await page.getByLabel('Used of complete fertilizer 13-13-13').press('Tab');
  await expect(page.getByText('The gate gave 12 % more than the catch tests said.')).toBeVisible();
  await page.getByRole('button', { name: 'Let the spreader learn it' }).click();
  await expect(page.getByText('Kept with Learning hopper')).toBeVisible();
  const learned = (await named(request, '/spreaders', 'Learning hopper')) as unknown as { document: { corrections: { factor: number }[] } };
  expect(learned.document.corrections.at(-1)!.factor).toBeCloseTo(1.12, 6);
});

test('knows what stayed in the hopper as well as what went out', async ({ page, request }) => {
  const plot = await newPlot(request, 'Left in the hopper', quarterAcre);
  const sheet = await keptSheet(request, plot.id, '2026-09-05');
  await page.goto(`/#/seasons/${plot.id}/${sheet.id}`);
  const how = page.getByLabel('How do you know what was used?').first();
  await how.selectOption('hoppers');
  await page.getByLabel('Fillings left in the hopper').fill('some');
  await expect(page.getByText('Write a number, such as 2 or 1 1/2')).toBeVisible();
  await page.getByLabel('Fillings left in the hopper').fill('0');
  await expect(page.locator('.row', { hasText: 'Really went on' }).first()).toContainText('100 %');
  await page.getByLabel('Fillings left in the hopper').fill('1/4');
  await expect(page.locator('.row', { hasText: 'Really went on' }).first()).not.toContainText('100 %');
  await how.selectOption('left');
  await page.getByLabel('Stayed in the hopper').fill('900 lb');
  await page.getByLabel('Stayed in the hopper').press('Tab');
  await expect(page.getByText(/what was left does not lie between/i)).toBeVisible();
});

test('leads from the sheet to its job, and keeps the sheet first', async ({ page, request }) => {
  const plot = await newPlot(request, 'From sheet to job', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Keep this sheet' }).click();
  await page.getByRole('link', { name: 'Say what was used' }).click();
  await expect(page.getByRole('article')).toHaveCount(1);
  await expect(page.getByLabel('Spread on')).toBeVisible();
  await page.getByRole('link', { name: 'The sheet', exact: true }).click();
  await expect(page.getByRole('link', { name: 'All seasons of this plot' })).toBeVisible();
});

test('keeps the same sheet once, whichever button is touched and after a reload', async ({ page, request }) => {
  const plot = await newPlot(request, 'Kept once', quarterAcre);
  const kept = async () => ((await (await request.get(`/api/v1/sheets?plot_id=${plot.id}`)).json()) as { total: number }).total;
  await openSheet(page, plot.id);
  await searched(page);
  await page.getByRole('button', { name: 'Keep this sheet' }).click();
  await expect(page.getByRole('link', { name: 'Say what was used' })).toBeVisible();
  const again = async () => {
    await page.getByRole('button', { name: 'Keep for the season' }).click();
    await expect(page.getByText('kept for the season already')).toBeVisible();
  };
  await again();
  await page.reload();
  await searched(page);
  await again();
  await page.getByRole('button', { name: 'm, kg' }).click(); // in other units it is still the same
  await searched(page);
  await page.getByRole('button', { name: 'Keep for the season' }).click();
  await expect(page.getByText('kept for the season already')).toBeVisible();
  expect(await kept()).toBe(1);
  await page.getByLabel('Which mix').selectOption({ index: 1 });
  await searched(page);
  await page.getByRole('button', { name: 'Keep for the season' }).click(); // another mix is another sheet
  await expect.poll(kept).toBe(2);
});

test('says so when the seasons cannot be read', async ({ page, request }) => {
  const plot = (await plotByName(request, 'Owl Bench'))!;
  await page.route('**/seasons', (route) => route.abort());
  await page.goto(`/#/seasons/${plot.id}`);
  await expect(page.getByRole('alert')).toBeVisible();
  await page.unroute('**/seasons');
  await page.getByRole('button', { name: 'Try again' }).click();
  await expect(page.getByRole('alert')).toBeHidden();
});

test('takes what was used when the spreader is no longer in the notebook', async ({ page, request }) => {
  const plot = await newPlot(request, 'A spreader sold', quarterAcre);
  const goods = await ownGoods(request, 'Sold');
  const sheet = await keptSheet(request, plot.id, '2026-09-05', goods);
  const gone = await request.delete(`/api/v1/spreaders/${goods.spreader.id}`, { headers: { 'If-Match': `"${goods.spreader.revision}"` } });
  expect(gone.ok()).toBe(true);
  await page.goto(`/#/seasons/${plot.id}/${sheet.id}`);
  await expect(page.getByText('no longer in the notebook')).toBeVisible();
  await page.getByLabel('How do you know what was used?').selectOption('left');
  await page.getByLabel('Stayed in the hopper').fill('0 lb');
  await page.getByLabel('Stayed in the hopper').press('Tab');
  await expect(page.locator('.row', { hasText: 'Really went on' }).first()).toContainText('100 %');
  await page.getByRole('button', { name: 'Keep what was used' }).click();
  await expect(band(page, '5 September 2026').locator('.state')).toContainText('spread on');
});

test('keeps what is typed when somebody else was faster', async ({ page, request }) => {
  const plot = await newPlot(request, 'Two at one job', quarterAcre);
  const goods = await ownGoods(request, 'Faster');
  const { id } = await keptSheet(request, plot.id, '2026-09-05', goods);
  await page.goto(`/#/seasons/${plot.id}/${id}`);
  for (const [label, used] of [['Used of oats', '25 lb'], ['Used of complete fertilizer 13-13-13', '70 lb']] as const) {
    await page.getByLabel(label).fill(used);
    await page.getByLabel(label).press('Tab');
  }
  await page.getByLabel('Gate at').first().fill('5');
  await page.getByLabel('What else to remember').fill('wind from the west');

  const changed = async (path: string, change: (one: Record<string, unknown>) => object) => {
    const one = (await (await request.get(`/api/v1${path}`)).json()) as Record<string, unknown>;
    const reply = await request.put(`/api/v1${path}`, { data: { ...one, ...change(one) }, headers: { 'If-Match': `"${String(one['revision'])}"` } });
    expect(reply.ok(), await reply.text()).toBe(true);
  };
  await changed(`/spreaders/${goods.spreader.id}`, (one) => ({ document: { ...(one['document'] as object), hopper_kg: 40 } }));
  await page.getByRole('button', { name: 'Keep it as a catch test' }).click();
  await expect(page.getByText('someone else changed this spreader meanwhile', { exact: false })).toBeVisible();
  await page.getByRole('button', { name: 'Keep it as a catch test' }).click();
  await expect(page.getByText('Kept with Faster hopper')).toBeVisible();
  expect((await named(request, '/spreaders', 'Faster hopper')) as unknown).toMatchObject({ document: { hopper_kg: 40, catch_tests: [{ gate: 5 }] } });

  await changed(`/sheets/${id}`, () => ({ done: { date: '2026-09-06', counts: [{ date: '2026-09-20', what: 'oats', found: [9], sample_m2: 0.5 }] } }));
  await page.getByRole('button', { name: 'Keep what was used' }).click();
  await expect(page.getByText('someone else kept something for this job meanwhile', { exact: false })).toBeVisible();
  await expect(page.getByLabel('What else to remember')).toHaveValue('wind from the west');
  await expect(page.getByLabel('Used of oats')).toHaveValue('25 lb');
  await page.getByRole('button', { name: 'Try again' }).click();
  await expect.poll(async () => ((await (await request.get(`/api/v1/sheets/${id}`)).json()) as { done: object }).done).toMatchObject({ note: 'wind from the west', counts: [{ found: [9] }] });
});
