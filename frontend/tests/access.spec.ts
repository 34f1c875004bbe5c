// For everyone, and with nobody listening: axe in both lights, the content
// policy, and no request to another host.
import { expect, test, type APIRequestContext, type Page } from '@playwright/test';
import { violations } from './axe';
import { touch } from './hand';
import { guessed, keptSheet, newPlot, openSheet, plotByName, quarterAcre, readPlot, searched, unfold, type LonLat } from './notebook';

const square = (west: number): LonLat[] => [[west, 43.7], [west + 0.0004, 43.7], [west + 0.0004, 43.7003], [west, 43.7003], [west, 43.7]];
const twoPlots = JSON.stringify({
  type: 'FeatureCollection',
  features: [-90.87, -90.86].map((west, i) => ({ type: 'Feature', properties: { name: `Square ${i + 1}` }, geometry: { type: 'Polygon', coordinates: [square(west)] } })),
});

/** The open sheet's plot is renamed here after somebody else renamed it. */
async function inConflict(page: Page, request: APIRequestContext, id: string): Promise<void> {
  const kept = await readPlot(request, id);
  const reply = await request.put(`/api/v1/plots/${id}`, { data: { ...kept, name: 'Renamed elsewhere' }, headers: { 'If-Match': `"${kept.revision}"` } });
  expect(reply.ok(), await reply.text()).toBe(true);
  await page.getByRole('textbox', { name: 'Name of the plot' }).fill('Renamed here');
  await page.keyboard.press('Enter');
  await expect(page.getByRole('alertdialog', { name: 'Someone else changed this plot too' })).toBeVisible();
}

for (const light of ['day', 'night'] as const) {
  for (const size of [
    { width: 390, height: 844 },
    { width: 1440, height: 900 },
  ]) {
    test(`axe finds nothing by ${light} at ${size.width}`, async ({ page, request }) => {
      await page.setViewportSize(size);
      if (light === 'night') await page.addInitScript(() => localStorage.setItem('evenfall.choices', '{"night":true}'));
      await page.goto('/');
      await expect(page.getByText('in all')).toBeVisible();
      expect(await violations(page)).toEqual([]);

      await page.goto('/#/new');
      await expect(page.getByRole('heading', { name: 'Another plot' })).toBeVisible();
      for (const way of ['paste', 'tape', 'walk', 'file']) {
        await page.getByLabel('How is it measured?').selectOption(way);
        expect(await violations(page)).toEqual([]);
      }

      const plot = await newPlot(request, `Axe ${light} ${size.width}`, quarterAcre);
      await openSheet(page, plot.id);
      await searched(page);
      await unfold(page);
      await page.locator('main dd button').first().click();
      await page.getByRole('button', { name: 'Change the ground' }).click();
      expect(await violations(page)).toEqual([]);

      await page.goto(`/#/seasons/${plot.id}`);
      await expect(page.getByText('No sheet of this plot is kept yet')).toBeVisible();
      expect(await violations(page)).toEqual([]);
      await guessed(request, plot.id, 2000);
      const sheet = await keptSheet(request, plot.id, '2026-09-05');
      await page.goto(`/#/seasons/${plot.id}/${sheet.id}`);
      await page.getByLabel('Used of').first().fill('plenty');
      await page.getByLabel('Used of').first().press('Tab');
      await page.locator('main dd button').first().click();
      expect(await violations(page)).toEqual([]);

      await page.goto('/#/trip');
      await expect(page.getByText('What one leaves in a bag the next takes')).toBeVisible();
      expect(await violations(page)).toEqual([]);
      for (const name of ['Owl Bench', 'Three Stumps']) await page.getByRole('button', { name: `+ ${name}` }).click();
      await expect(page.getByRole('heading', { name: 'Take care' })).toBeVisible();
      await unfold(page);
      await page.locator('main dd button').first().click();
      expect(await violations(page)).toEqual([]);
    });
  }
}

for (const light of ['day', 'night'] as const) {
  test.describe(`in passing, by ${light}`, () => {
    test.beforeEach(async ({ page }) => {
      if (light === 'night') await page.addInitScript(() => localStorage.setItem('evenfall.choices', '{"night":true}'));
    });
    const lit = (page: Page) => expect(page.locator('html')).toHaveAttribute('data-light', light);

    test(`axe finds nothing while the ground is worked on, ${light}`, async ({ page, request }) => {
      const plot = await newPlot(request, `In passing ${light}`, quarterAcre);
      await openSheet(page, plot.id);
      await searched(page);
      await lit(page);
      await page.getByRole('button', { name: 'Imagery' }).click();
      await page.getByRole('button', { name: 'Use these tiles' }).click();
      await expect(page.getByText('Give an https address')).toBeVisible();
      expect(await violations(page), 'imagery').toEqual([]);
      await page.getByRole('button', { name: 'Close', exact: true }).click();

      await page.getByRole('button', { name: 'Play the drive' }).click();
      await expect(page.getByText(/in the hopper/)).toBeVisible();
      expect(await violations(page), 'play').toEqual([]);
      await page.getByRole('button', { name: 'Stop' }).click();

      await page.getByRole('button', { name: 'Change the ground' }).click();
      await page.getByRole('button', { name: 'Hole', exact: true }).click();
      await touch(page, [[0.4, 0.45], [0.5, 0.45], [0.45, 0.55]]);
      await expect(page.getByText('this edge')).toBeVisible();
      expect(await violations(page), 'drawing').toEqual([]);
      await page.getByRole('button', { name: 'Leave it' }).click();

      await page.getByRole('button', { name: 'Cut in two' }).click();
      await touch(page, [[0.5, 0.15], [0.52, 0.88]]);
      await page.getByRole('button', { name: 'Close it' }).click();
      await expect(page.getByText('Cut here?')).toBeVisible();
      expect(await violations(page), 'cut').toEqual([]);
      await page.getByRole('button', { name: 'Leave it whole' }).click();

      await inConflict(page, request, plot.id);
      expect(await violations(page), 'conflict').toEqual([]);
    });

    test(`axe finds nothing where there is little or nothing, ${light}`, async ({ page }) => {
      await page.goto('/#/new');
      await lit(page);
      await page.getByLabel('How is it measured?').selectOption('file');
      await page.locator('input[type=file]').setInputFiles({ name: 'two.geojson', mimeType: 'application/json', buffer: Buffer.from(twoPlots) });
      await expect(page.getByText('2 plots are in this file.')).toBeVisible();
      await page.getByRole('button', { name: /Square 2/ }).click();
      expect(await violations(page), 'many plots').toEqual([]);

      await page.route(/\/api\/v1\/(plots|properties|surveys|sheets)\b/, (route) => route.fulfill({ json: { items: [], total: 0 } }));
      await page.goto('/?empty#/');
      await expect(page.getByRole('heading', { name: 'No plot is drawn yet' })).toBeVisible();
      expect(await violations(page), 'an empty notebook').toEqual([]);
    });

    test(`axe finds nothing where a plot does not exist, ${light}`, async ({ page }) => {
      await page.goto('/#/plot/01940000-0000-7000-8000-00000000dead');
      await expect(page.getByRole('alert')).toBeVisible();
      await lit(page);
      expect(await violations(page)).toEqual([]);
    });
  });
}

test('asks no other host on any page, nor does its service worker', async ({ page, context, request, baseURL }) => {
  const strangers: string[] = [];
  const refused: string[] = [];
  const seen = { ours: 0, workers: 0 };
  context.on('request', (r) => {
    const url = new URL(r.url());
    if (!url.protocol.startsWith('http')) return;
    if (url.origin === baseURL) seen.ours++;
    else strangers.push(r.url());
    if (r.serviceWorker()) seen.workers++;
  });
  context.on('console', (m) => {
    if (/Content Security Policy/i.test(m.text())) refused.push(m.text());
  });
  await page.goto('/');
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await expect(page.getByText('in all')).toBeVisible();
  await page.goto('/#/new');
  await expect(page.getByRole('heading', { name: 'Another plot' })).toBeVisible();
  await page.getByLabel('How is it measured?').selectOption('file');
  await page.locator('input[type=file]').setInputFiles({ name: 'two.geojson', mimeType: 'application/json', buffer: Buffer.from(twoPlots) });
  await expect(page.getByText('2 plots are in this file.')).toBeVisible();

  const plot = await newPlot(request, 'Asked for by nobody', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await unfold(page);
  await page.getByRole('button', { name: 'Imagery' }).click();
  await expect(page.getByRole('heading', { name: 'Imagery' })).toBeVisible();
  await page.getByRole('button', { name: 'Close', exact: true }).click();
  await page.getByRole('button', { name: 'Play the drive' }).click();
  await expect(page.getByText(/in the hopper/)).toBeVisible();
  await page.getByRole('button', { name: 'Stop' }).click();
  await Promise.all([context.waitForEvent('response', (r) => r.url().includes('/sheet.pdf')), page.getByRole('link', { name: 'Print' }).first().click()]);
  await page.getByRole('button', { name: 'Change the ground' }).click();
  await page.getByRole('button', { name: 'Keep for the season' }).click();
  await expect(page.getByText('kept for the season', { exact: true })).toBeVisible();
  await inConflict(page, request, plot.id);

  await page.goto(`/#/seasons/${plot.id}`);
  await expect(page.getByRole('heading', { name: /Seasons of/ })).toBeVisible();
  await page.goto('/#/trip');
  await page.getByRole('button', { name: '+ Owl Bench' }).click();
  await expect(page.getByRole('heading', { name: 'Take care' })).toBeVisible();
  expect(strangers).toEqual([]);
  expect(refused).toEqual([]);
  expect(seen.ours).toBeGreaterThan(20);
  expect(seen.workers).toBeGreaterThan(0); // or its requests would go unseen here
});

test('every kind of reply carries the policy, which lets no inline script run', async ({ page, request }) => {
  const loaded: string[] = []; // by the page and by its workers, as the one that compiles the core
  page.on('response', (reply) => loaded.push(new URL(reply.url()).pathname));
  await page.goto('/');
  await expect.poll(() => loaded.some((name) => name.endsWith('.wasm'))).toBe(true);
  const named = (ending: string) => loaded.find((name) => name.endsWith(ending))!;
  const plot = (await plotByName(request, 'Owl Bench'))!;
  const script = named('.js');
  const known = { 'If-None-Match': (await request.get(script)).headers()['etag']! };
  const replies: [path: string, status: number, kind: RegExp, headers?: Record<string, string>][] = [
    ['/', 200, /^text\/html/],
    ['/any/address/of/the/page', 200, /^text\/html/],
    [script, 200, /^text\/javascript/],
    [script, 304, /^$/, known],
    ['/sw.js', 200, /^text\/javascript/],
    [named('.css'), 200, /^text\/css/],
    [named('.wasm'), 200, /^application\/wasm/],
    ['/assets/gone-0.js', 404, /^text\/plain/],
    ['/api/v1/plots', 200, /^application\/json/],
    ['/api/v1/plots/nowhere', 404, /^application\/problem\+json/],
    ['/api/v1/nowhere', 404, /./],
    ['/api/v1/plots?limit=0', 400, /^application\/problem\+json/],
    [`/api/v1/plots/${plot.id}/sheet.pdf?spreader=${plot.spreader_id}&mix=${plot.mix_id}`, 200, /^application\/pdf/],
    ['/tiles/1/1/1', 404, /^text\/plain/],
    ['/tiles/info.json', 200, /^application\/json/],
  ];
  for (const [path, status, kind, headers] of replies) {
    const reply = await request.get(path, headers ? { headers } : {});
    expect(reply.status(), path).toBe(status);
    expect(reply.headers()['content-type'] ?? '', path).toMatch(kind);
    const policy = reply.headers()['content-security-policy'] ?? '';
    const directives = new Map(policy.split(';').map((one) => one.trim().split(/ (.*)/, 2) as [string, string]));
    expect(directives.get('default-src'), `${path}: ${policy}`).toBe("'self'");
    expect(directives.get('script-src'), `${path}: ${policy}`).toBe("'self' 'wasm-unsafe-eval'");
    expect(directives.get('object-src'), `${path}: ${policy}`).toBe("'none'");
    expect(policy, path).not.toContain('unsafe-inline');
  }
  const inline = await page.evaluate(() => {
    const tag = document.createElement('script');
    tag.textContent = 'window.ranInline = true';
    document.head.append(tag);
    return 'ranInline' in window;
  });
  expect(inline).toBe(false);
});

test('fetches tiles only once their address is entered', async ({ page, request }) => {
  const asked: string[] = [];
  await page.route('**/tiles/**', (route) => {
    asked.push(route.request().url());
    return route.fulfill({ status: 204 });
  });
  const plot = (await plotByName(request, 'Owl Bench'))!;
  await openSheet(page, plot.id);
  await searched(page);
  expect(asked).toEqual([]);
  await page.getByRole('button', { name: 'Imagery' }).click();
  await page.getByRole('button', { name: 'Use these tiles' }).click();
  await expect(page.getByText('Give an https address')).toBeVisible();
  await page.getByLabel('Tile address').fill('/tiles/{z}/{x}/{y}');
  await page.getByLabel('Whose imagery it is').fill('our own flight');
  await page.getByRole('button', { name: 'Use these tiles' }).click();
  await expect.poll(() => asked.length).toBeGreaterThan(0);
});

test('opening the imagery where there is no tile file is no error', async ({ page, request }) => {
  const wrong: string[] = [];
  page.on('console', (message) => message.type() === 'error' && wrong.push(message.text()));
  const plot = (await plotByName(request, 'Owl Bench'))!;
  await openSheet(page, plot.id);
  const asked = page.waitForResponse('**/tiles/info.json');
  await page.getByRole('button', { name: 'Imagery' }).click();
  await (await asked).finished();
  await expect(page.getByText('Off until you choose it.')).toBeVisible();
  await expect(page.getByRole('button', { name: /Use the tile file/ })).toBeHidden();
  expect(wrong).toEqual([]);
});
