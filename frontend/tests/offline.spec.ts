// What the server's part of the page promises: it works without the server
// after the first visit, and asks no host but the one that the user entered.
import { expect, test, type Page } from '@playwright/test';
import { violations } from './axe';
import { clickRound } from './hand';
import { newPlot, openSheet, plotByName, quarterAcre, searched } from './notebook';

/** Corners as they are pasted, of a quarter acre that no other test has. */
const cornersBeside = (east: number) => quarterAcre.slice(0, 4).map(([lon, lat]) => `${lat + 0.01}, ${lon + east}`).join('\n');

/** Loads the page under its service worker, with the notebook read. */
async function visit(page: Page): Promise<void> {
  await page.goto('/');
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await expect.poll(() => page.evaluate(() => caches.keys().then((names) => names.some((name) => name.includes('precache'))))).toBe(true);
  await page.reload(); // under the service worker from here on
  await expect(page.getByText('in all')).toBeVisible();
}

/** Whether the device has its copy of the notebook, which is made a little after it was read. */
const copied = (page: Page) =>
  page.evaluate(async () => {
    if (!(await indexedDB.databases()).some((one) => one.name === 'evenfall')) return false; // to open it would make it
    return new Promise<boolean>((done, fail) => {
      const opening = indexedDB.open('evenfall');
      opening.onerror = () => fail(opening.error);
      opening.onsuccess = () => {
        const asked = opening.result.transaction('pages').objectStore('pages').getKey('records');
        asked.onsuccess = () => {
          opening.result.close();
          done(asked.result !== undefined);
        };
      };
    });
  });

test('the page and its core come up without the server after the first visit', async ({ page, context }) => {
  let core = ''; // a worker asks for it
  page.on('request', (request) => (core = request.url().endsWith('.wasm') ? request.url() : core));
  await visit(page);
  await expect.poll(() => copied(page)).toBe(true);
  await context.setOffline(true);
  await page.reload();
  await expect(page.getByText('No signal, or the program is not running.')).toBeVisible();
  await expect(page.getByRole('link', { name: /Owl Bench/ }).first()).toContainText(/[\d.]+ ac/); // words of the core
  const kept = await page.evaluate(async (core) => (await fetch(core)).headers.get('content-type'), core);
  expect(kept).toBe('application/wasm');
});

test('pictures come from the host that the user entered, and from no other', async ({ page, context, baseURL }) => {
  const asked: string[] = [];
  await context.route(/imagery\.example|elsewhere\.example/, (route) => {
    asked.push(new URL(route.request().url()).hostname);
    return route.fulfill({ status: 200, contentType: 'image/svg+xml', body: '<svg xmlns="http://www.w3.org/2000/svg"/>' });
  });
  const show = (host: string) =>
    page.evaluate(
      (src) =>
        new Promise<string>((done) => {
          const picture = new Image();
          picture.onload = () => done('shown');
          picture.onerror = () => done('refused');
          picture.src = src;
        }),
      `https://${host}/1/1/1.png`,
    );
  await page.goto('/');
  expect(await show('imagery.example')).toBe('refused');
  await context.addCookies([{ name: 'evenfall-imagery', value: encodeURIComponent('https://imagery.example'), url: baseURL! }]);
  await page.reload();
  expect(await show('imagery.example')).toBe('shown');
  expect(await show('elsewhere.example')).toBe('refused');
  expect(asked).toEqual(['imagery.example']);
});

test('a plot drawn without a signal outlasts a reload, and is on the server exactly once', async ({ page, context, request }, info) => {
  const look = async (name: string) => {
    for (const [size, width, height] of [['laptop', 1440, 900], ['phone', 390, 844]] as const) {
      await page.setViewportSize({ width, height });
      await page.screenshot({ path: `test-results/${name}-${size}.png` });
    }
    await page.setViewportSize({ width: 1440, height: 900 });
  };
  const name = `Out of reach ${info.repeatEachIndex} ${info.retry}`;
  const oats = `Oats of the field ${info.repeatEachIndex} ${info.retry}`;
  await visit(page);
  await page.goto('/#/new');
  await expect(page.getByRole('heading', { name: 'Another plot' })).toBeVisible();
  await context.setOffline(true);
  await page.getByLabel('Name', { exact: true }).fill(name);
  await page.getByRole('button', { name: 'Draw on the ground' }).click();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue(name);
  await expect(page.getByText('not sent yet: kept on this device')).toBeVisible();

  await page.getByRole('button', { name: 'Draw the outline' }).click();
  await clickRound(page, [[0.3, 0.3], [0.6, 0.3], [0.6, 0.6], [0.3, 0.6]]);
  await searched(page);
  const acres = await page.locator('.row', { has: page.locator('dt', { hasText: 'Measured' }) }).locator('.figure').first().innerText();
  await page.locator('summary', { hasText: 'Another mix' }).click();
  await page.getByLabel('Name of the new mix').fill(oats);
  await page.getByLabel('Find a seed or a fertilizer').last().fill('oats');
  await page.getByRole('button', { name: 'Add oats' }).last().click();
  await expect(page.getByLabel('Which mix').locator('option:checked')).toHaveText(oats);
  await look('offline-sheet');
  await page.getByRole('button', { name: 'Keep for the season' }).click();
  await expect(page.getByText('kept on this device for the season')).toBeVisible();

  await page.goto('/#/');
  await page.reload();
  await expect(page.getByText('No signal, or the program is not running.')).toBeVisible();
  const card = page.getByRole('link', { name: new RegExp(name) });
  await expect(card).toContainText('on this device only, not sent yet');
  await expect(card).toContainText(acres);
  await expect(page.getByRole('link', { name: /Owl Bench/ }).first()).toBeVisible(); // as the device last read it
  await look('offline-plots');
  for (const light of ['night', 'day']) {
    await page.getByRole('button', { name: 'Night' }).click();
    expect(await violations(page), light).toEqual([]);
  }
  await card.click();
  await searched(page);
  await expect(page.getByLabel('Which mix').locator('option:checked')).toHaveText(oats);

  await context.setOffline(false);
  await expect(page.getByText('kept', { exact: true })).toBeVisible({ timeout: 20_000 });
  const kept = async (path: string) => ((await (await request.get(`/api/v1/${path}?limit=300`)).json()) as { items: { id: string; name: string }[] }).items;
  expect((await kept('plots')).filter((plot) => plot.name === name)).toHaveLength(1);
  const mixes = (await kept('mixes')).filter((mix) => mix.name === oats);
  expect(mixes).toHaveLength(1);
  const plot = await plotByName(request, name);
  expect(plot.mix_id).toBe(mixes[0]!.id);
  expect(plot.outline?.coordinates[0]).toHaveLength(5);
  const sheets = (await (await request.get(`/api/v1/sheets?plot_id=${plot.id}`)).json()) as { items: { id: string; mix_id: string }[] };
  expect(sheets.items.map((one) => one.mix_id)).toEqual([mixes[0]!.id]);
  const sheet = (await (await request.get(`/api/v1/sheets/${sheets.items[0]!.id}/sheet`)).json()) as { plot: string; mix: string };
  expect([sheet.plot, sheet.mix]).toEqual([name, oats]);
  expect(await page.evaluate(() => Object.keys(localStorage).filter((key) => key.includes('unsent')))).toEqual([]);
  await page.reload();
  await searched(page);
  await expect(page.getByText('kept', { exact: true })).toBeVisible();
  expect((await kept('plots')).filter((one) => one.name === name)).toHaveLength(1);
});

test('a plot from pasted corners outlasts a reload without a signal', async ({ page, context, request }) => {
  await visit(page);
  const before = await newPlot(request, 'Known before', quarterAcre);
  await openSheet(page, before.id);
  await searched(page);
  await page.goto('/#/new');
  await expect(page.getByRole('heading', { name: 'Another plot' })).toBeVisible();
  await context.setOffline(true);
  await page.getByLabel('Name', { exact: true }).fill('Pasted out of reach');
  await page.getByLabel('How is it measured?').selectOption('paste');
  await page.getByLabel('Corners, one to a line').fill(cornersBeside(0.01));
  await page.getByRole('button', { name: 'Make the outline' }).click();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Pasted out of reach');
  await searched(page);
  await page.reload();
  await searched(page);
  await expect(page.getByText('not sent yet: kept on this device')).toBeVisible();
  await context.setOffline(false);
  await expect(page.getByText('kept', { exact: true })).toBeVisible({ timeout: 20_000 });
  const plot = await plotByName(request, 'Pasted out of reach');
  const surveys = (await (await request.get(`/api/v1/surveys?plot_id=${plot.id}`)).json()) as { items: { method: string; in_use: boolean }[] };
  expect(surveys.items).toHaveLength(1);
  expect(surveys.items[0]!.in_use).toBe(true);
  expect(plot.outline?.coordinates[0]).toHaveLength(5);
});

test('what is refused long after it was made is discarded with a question, and only then', async ({ page, request }) => {
  await visit(page);
  const stamp = { revision: 0, created_at: '2026-11-25T00:00:00Z', updated_at: '2026-11-25T00:00:00Z' };
  const plot = { ...stamp, id: '01940000-0000-7000-8000-00000000000a', property_id: '01940000-0000-7000-8000-0000000000ff', name: 'On land that is gone' };
  const survey = { ...stamp, id: '01940000-0000-7000-8000-00000000000b', plot_id: plot.id, method: 'taped', date: '2026-11-25', area_m2: 900, in_use: true };
  await page.evaluate(
    (unsent) => {
      for (const one of unsent) localStorage.setItem(`evenfall.unsent.${one.record.id}`, JSON.stringify(one));
    },
    [
      { path: '/plots', record: plot },
      { path: '/surveys', record: survey },
    ],
  );
  const unsent = () => page.evaluate(() => Object.keys(localStorage).filter((key) => key.includes('unsent')).length);
  await page.reload();
  const discard = page.getByRole('button', { name: 'Discard the plot On land that is gone' });
  await expect(page.getByRole('link', { name: /On land that is gone/ })).toContainText('not kept: see above');
  await expect(page.getByText('the plot names a record that is not there')).toHaveCount(1); // said once, where the way out is
  await discard.click();
  await expect(page.getByText('Discard it, with 1 measurement made for it?')).toBeVisible();
  for (const [size, width, height] of [['laptop', 1440, 900], ['phone', 390, 844]] as const) {
    await page.setViewportSize({ width, height });
    await page.screenshot({ path: `test-results/refused-${size}.png` });
    expect(await violations(page, '[aria-label="Not sent yet"]'), size).toEqual([]);
  }
  await page.getByRole('button', { name: 'No, leave it' }).click();
  expect(await unsent()).toBe(2);
  await discard.click();
  await page.getByRole('button', { name: 'Yes, discard' }).click();
  await expect(page.getByText('On land that is gone')).toBeHidden();
  expect(await unsent()).toBe(0);
  await page.reload();
  await expect(page.getByText('in all')).toBeVisible();
  await expect(page.getByText('On land that is gone')).toBeHidden();
  expect((await request.get(`/api/v1/plots/${plot.id}`)).status()).toBe(404);
});

test('two pages of one device send what was made without a signal once, and without a conflict', async ({ page, context, request }, info) => {
  const name = `Made once by two pages ${info.repeatEachIndex} ${info.retry}`;
  await visit(page);
  await page.goto('/#/new');
  await expect(page.getByRole('heading', { name: 'Another plot' })).toBeVisible();
  await context.setOffline(true);
  await page.getByLabel('Name', { exact: true }).fill(name);
  await page.getByLabel('How is it measured?').selectOption('paste');
  await page.getByLabel('Corners, one to a line').fill(cornersBeside(0.02));
  await page.getByRole('button', { name: 'Make the outline' }).click();
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue(name);
  const other = await context.newPage();
  await other.goto('/');
  await expect(other.getByRole('link', { name: new RegExp(name) })).toContainText('on this device only, not sent yet');
  await context.setOffline(false);
  await expect(page.getByText('kept', { exact: true })).toBeVisible({ timeout: 20_000 });
  await expect(other.getByText('not sent yet')).toHaveCount(0, { timeout: 20_000 });
  const plot = await plotByName(request, name);
  const surveys = (await (await request.get(`/api/v1/surveys?plot_id=${plot.id}`)).json()) as { total: number };
  expect(surveys.total).toBe(1);
  expect(plot.revision).toBe(2); // made, and given its outline
  for (const one of [page, other]) await expect(one.getByRole('alertdialog')).toHaveCount(0);
  expect(await page.evaluate(() => Object.keys(localStorage).filter((key) => key.includes('unsent')))).toEqual([]);
  await other.close();
});
