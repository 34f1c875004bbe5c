// What the server's part of the page promises: it works without the server
// after the first visit, and asks no host but the one that the user entered.
import { expect, test } from '@playwright/test';

test('the page and its core come up without the server after the first visit', async ({ page, context }) => {
  await page.goto('/');
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await expect.poll(() => page.evaluate(() => caches.keys().then((names) => names.some((name) => name.includes('precache'))))).toBe(true);
  await page.reload(); // under the service worker from here on
  await context.setOffline(true);
  await page.reload();
  await expect(page.locator('#page')).not.toBeEmpty();
  const kept = await page.evaluate(async () => {
    const core = performance.getEntriesByType('resource').find((one) => one.name.endsWith('.wasm'));
    return (await fetch(core!.name)).headers.get('content-type');
  });
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
