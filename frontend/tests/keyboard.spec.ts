// The whole of a morning without a pointer: a plot is made, changed, taken
// back, and printed. Nothing here clicks, and the page reports any pointer.
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { expect, test, type Page } from '@playwright/test';
import { figure, searched } from './notebook';

declare global {
  interface Window {
    pointersSeen: number;
  }
}

/** Goes on by Tab until the named control has the focus. */
async function tabTo(page: Page, role: 'link' | 'button' | 'textbox' | 'combobox', name: string | RegExp): Promise<void> {
  const target = page.getByRole(role, { name, exact: true }).first();
  await expect(target).toBeVisible();
  await tabUntil(page, String(name), () => target.evaluate((e) => e === document.activeElement));
}

async function tabUntil(page: Page, what: string, there: () => Promise<boolean>): Promise<void> {
  for (let i = 0; i < 120; i++) {
    if (await there()) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`Tab never reached ${what}`);
}

test('makes a plot, moves a corner, takes it back and prints, all by keys', async ({ page, context, request }) => {
  await page.addInitScript(() => {
    window.pointersSeen = 0;
    for (const kind of ['pointerdown', 'mousedown', 'touchstart', 'mousemove']) addEventListener(kind, () => window.pointersSeen++, true);
  });
  await page.goto('/');
  await tabTo(page, 'link', /Another plot/);
  await page.keyboard.press('Enter');
  await tabTo(page, 'textbox', 'Name');
  await page.keyboard.type('Made by keys');
  await tabTo(page, 'combobox', 'How is it measured?');
  await page.keyboard.type('A tape');
  await tabTo(page, 'textbox', 'Length');
  await page.keyboard.type('130 ft');
  await tabTo(page, 'textbox', 'Width');
  await page.keyboard.type('84 ft');
  await page.keyboard.press('Tab');
  await tabTo(page, 'button', 'Make the outline');
  await page.keyboard.press('Enter');
  await expect(page.getByRole('textbox', { name: 'Name of the plot' })).toHaveValue('Made by keys');
  await searched(page);
  const measured = figure(page, 'Measured');
  await expect(measured).toHaveText('0.25 ac');

  const corners = page.getByText('Corners, one by one');
  await tabUntil(page, 'the corners', () => corners.evaluate((e) => e === document.activeElement));
  await page.keyboard.press('Enter');
  await expect(page.getByRole('heading', { name: 'Edge of the plot' })).toBeVisible();
  await page.keyboard.press('Tab');
  await page.keyboard.press('Shift+ArrowUp');
  await page.keyboard.press('Shift+ArrowUp');
  await expect(measured).not.toHaveText('0.25 ac');
  const moved = await measured.innerText();
  await page.keyboard.press('Control+z');
  await page.keyboard.press('Control+z');
  await expect(measured).toHaveText('0.25 ac');
  await page.keyboard.press('Control+Shift+z');
  await page.keyboard.press('Control+Shift+z');
  await expect(measured).toHaveText(moved);
  await searched(page);
  await expect(page.getByText('kept', { exact: true })).toBeVisible();

  await tabTo(page, 'link', 'Print');
  // The page that opens is asked for by the browser itself: what it got is looked at.
  const [reply] = await Promise.all([
    context.waitForEvent('response', (r) => r.url().includes('/sheet.pdf')),
    page.keyboard.press('Enter'),
  ]);
  expect([reply.status(), reply.headers()['content-type']]).toEqual([200, 'application/pdf']);
  expect(await page.evaluate(() => window.pointersSeen)).toBe(0);
  const file = 'test-results/printed-by-keys.pdf';
  writeFileSync(file, await (await request.get(reply.url())).body());
  const text = execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' });
  expect(text).toContain('Made by keys');
  expect(text).toContain(moved);
});
