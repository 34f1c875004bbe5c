// What is kept: undo, two browsers on one plot, no network.
import { expect, test } from '@playwright/test';
import { violations } from './axe';
import { figure, newMachine, newPlot, openSheet, quarterAcre, readMachine, readPlot, searched } from './notebook';

test('two browsers do not overwrite each other', async ({ page, browser, request }) => {
  const plot = await newPlot(request, 'Shared', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const other = await browser.newPage();
  await openSheet(other, plot.id);
  await other.getByRole('textbox', { name: 'Name of the plot' }).fill('Named by the other');
  await other.keyboard.press('Enter');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Named by the other');

  await page.getByRole('textbox', { name: 'Name of the plot' }).fill('Named here');
  await page.keyboard.press('Enter');
  const choice = page.getByRole('alertdialog', { name: 'Someone else changed this plot too' });
  const differing = choice.getByRole('row', { name: /^name/ });
  await expect(differing.getByRole('cell')).toHaveText(['Named here', 'Named by the other']);
  await expect(choice.getByRole('row', { name: /^mix/ })).toBeHidden(); // the same in both
  await choice.screenshot({ path: 'test-results/conflict.png' });
  expect((await readPlot(request, plot.id)).name).toBe('Named by the other');
  await choice.getByRole('button', { name: 'Keep mine' }).click();
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Named here');
  await page.getByRole('button', { name: 'Undo' }).first().click(); // theirs is not lost either
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Named by the other');
  await other.close();
});

for (const [choice, stays, undone] of [
  ['Keep mine', 6, 9],
  ['Take theirs', 9, 6],
] as const) {
  test(`shows what two browsers made of one spreader: ${choice.toLowerCase()}`, async ({ page, browser, request }) => {
    const machine = await newMachine(request, `Hopper to ${choice.toLowerCase()}`, 8);
    const plot = await newPlot(request, `Spreader, ${choice.toLowerCase()}`, quarterAcre, { spreader_id: machine.id });
    await openSheet(page, plot.id);
    await page.getByRole('button', { name: 'm, kg' }).click();
    await searched(page);
    await expect(page.getByLabel('Which one')).toHaveValue(machine.id);
    const other = await browser.newPage();
    await openSheet(other, plot.id);
    await other.getByRole('button', { name: 'm, kg' }).click();
    const throwOf = async (which: typeof page, metres: string) => {
      await which.getByText('The machine', { exact: true }).click();
      const field = which.getByLabel('Throw, edge to edge').first();
      await expect(field).toHaveValue('8 m');
      await field.fill(metres);
      await field.press('Enter');
      await field.press('Tab');
    };
    await throwOf(other, '9 m');
    await expect.poll(() => readMachine(request, machine.id)).toBe(9);
    await throwOf(page, '6 m');

    const both = page.getByRole('alertdialog', { name: 'Someone else changed the spreader too' });
    await expect(both.getByRole('row', { name: /^throw, edge to edge/ }).getByRole('cell')).toHaveText(['6 m', '9 m']);
    await expect(both.getByRole('row', { name: /^name/ })).toBeHidden();
    expect(await readMachine(request, machine.id)).toBe(9);
    if (stays === 6) {
      for (const [size, width] of [['phone', 390], ['laptop', 1440]] as const) {
        await page.setViewportSize({ width, height: width === 390 ? 844 : 900 });
        await both.scrollIntoViewIfNeeded();
        await page.screenshot({ path: `test-results/conflict-spreader-${size}.png` });
        for (const light of ['night', 'day']) {
          await page.getByRole('button', { name: 'Night' }).click();
          expect(await violations(page, '[role=alertdialog]'), `${size} by ${light}`).toEqual([]);
        }
      }
    }
    await both.getByRole('button', { name: choice }).click();
    await expect(both).toBeHidden();
    await expect.poll(() => readMachine(request, machine.id)).toBe(stays);
    await searched(page);
    await expect(figure(page, 'Throw, edge to edge')).toHaveText(`${stays} m`);
    await page.getByRole('button', { name: 'Undo' }).first().click(); // the other is not lost
    await expect.poll(() => readMachine(request, machine.id)).toBe(undone);
    await other.close();
  });
}

test('the spreader and the mix chosen in one browser are chosen in another', async ({ page, browser, request }) => {
  const plot = await newPlot(request, 'Chosen once', quarterAcre);
  await openSheet(page, plot.id);
  await page.getByLabel('Which one').selectOption({ label: 'Tow-behind with the bent vane' });
  await page.getByLabel('Which mix').selectOption({ label: 'Rye and winter pea cover' });
  await expect.poll(async () => Boolean((await readPlot(request, plot.id)).mix_id)).toBe(true);
  const other = await browser.newPage();
  await openSheet(other, plot.id);
  await expect(other.getByLabel('Which one').locator('option:checked')).toHaveText('Tow-behind with the bent vane');
  await expect(other.getByLabel('Which mix').locator('option:checked')).toHaveText('Rye and winter pea cover');
  expect(await other.evaluate(() => Object.keys(localStorage).filter((key) => key.includes('goods')))).toEqual([]);
  await other.close();
  const sheet = (await (await request.get(`/api/v1/plots/${plot.id}/sheet`)).json()) as { mix: string; spreader: { name: string } };
  expect([sheet.mix, sheet.spreader.name]).toEqual(['Rye and winter pea cover', 'Tow-behind with the bent vane']);
});

test('takes theirs, and undo brings ours back', async ({ page, request }) => {
  const plot = await newPlot(request, 'Given way', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await request.put(`/api/v1/plots/${plot.id}`, { data: { ...plot, name: 'Theirs' }, headers: { 'If-Match': `"${plot.revision}"` } });
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await name.fill('Ours');
  await name.press('Enter');
  await page.getByRole('button', { name: 'Take theirs' }).click();
  await expect(name).toHaveValue('Theirs');
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect(name).toHaveValue('Ours');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Ours');
});

test('takes both changes where two browsers changed different things', async ({ page, browser, request }) => {
  const plot = await newPlot(request, 'Written on by two', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  const other = await browser.newPage();
  await openSheet(other, plot.id);
  await other.getByLabel('Notes').fill('wet in spring');
  await other.getByLabel('Notes').press('Tab');
  await expect.poll(async () => ((await readPlot(request, plot.id)) as { note?: string }).note).toBe('wet in spring');
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await name.fill('Named by one');
  await name.press('Enter');
  await expect.poll(() => readPlot(request, plot.id)).toMatchObject({ name: 'Named by one', note: 'wet in spring' });
  await expect(page.getByLabel('Notes')).toHaveValue('wet in spring');
  await expect(page.getByRole('alertdialog')).toBeHidden();
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect.poll(() => readPlot(request, plot.id)).toMatchObject({ name: 'Written on by two', note: 'wet in spring' });
  await other.close();
});

test('lists only what both changed, and no spreader that nobody chose', async ({ page, request }) => {
  const plot = await newPlot(request, 'Disputed name', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await request.put(`/api/v1/plots/${plot.id}`, { data: { ...plot, name: 'Theirs', note: 'wet in spring' }, headers: { 'If-Match': `"${plot.revision}"` } });
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await name.fill('Ours');
  await name.press('Enter');
  const choice = page.getByRole('alertdialog', { name: 'Someone else changed this plot too' });
  await expect(choice.locator('table').first().getByRole('rowheader')).toHaveText(['name']);
  await expect(choice.getByText('What only one of you changed is kept from both.')).toBeVisible();
  await choice.screenshot({ path: 'test-results/conflict-name.png' });
  await choice.getByRole('button', { name: 'Keep mine' }).click();
  await expect.poll(() => readPlot(request, plot.id)).toMatchObject({ name: 'Ours', note: 'wet in spring' });
  expect((await readPlot(request, plot.id)).spreader_id).toBeUndefined();
});

test('undo goes on when one comes back to a plot', async ({ page, request }) => {
  const plot = await newPlot(request, 'Left and come back to', quarterAcre);
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await openSheet(page, plot.id);
  await searched(page);
  await name.fill('Changed');
  await name.press('Enter');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Changed');
  await page.getByRole('link', { name: 'All plots' }).click();
  const { revision } = await readPlot(request, plot.id);
  await request.put(`/api/v1/plots/${plot.id}`, { data: { ...plot, name: 'Changed', note: 'written meanwhile' }, headers: { 'If-Match': `"${revision}"` } });
  await page.getByRole('link', { name: /Changed/ }).click();
  await searched(page);
  await expect(page.getByLabel('Notes')).toHaveValue('written meanwhile');
  await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect(name).toHaveValue('Left and come back to');
  await expect.poll(() => readPlot(request, plot.id)).toMatchObject({ name: 'Left and come back to', note: 'written meanwhile' });
  await expect(page.getByText('kept', { exact: true })).toBeVisible();
});

test('keeps changes on the device while the program does not answer', async ({ page, context, request }) => {
  const plot = await newPlot(request, 'Offline', quarterAcre);
  await openSheet(page, plot.id);
  await searched(page);
  await context.setOffline(true);
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await name.fill('Renamed offline');
  await name.press('Enter');
  await expect(page.getByText(/kept on this device/)).toBeVisible();
  await context.setOffline(false);
  await expect.poll(async () => (await readPlot(request, plot.id)).name, { timeout: 15_000 }).toBe('Renamed offline');
  await expect(page.getByText('kept', { exact: true })).toBeVisible();
});

test('undo has no end within a sitting', async ({ page, request }) => {
  const plot = await newPlot(request, 'Name 0', quarterAcre);
  await openSheet(page, plot.id);
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  for (let i = 1; i <= 30; i++) {
    await name.fill(`Name ${i}`);
    await name.press('Enter');
  }
  for (let i = 0; i < 30; i++) await page.getByRole('button', { name: 'Undo' }).first().click();
  await expect(name).toHaveValue('Name 0');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('Name 0');
});

test('a long name is read whole in the title, and stays one line', async ({ page, request }) => {
  const long = 'The strip behind the old orchard between the creek crossing and the second gate, north half';
  const plot = await newPlot(request, 'Short', quarterAcre);
  await openSheet(page, plot.id);
  const name = page.getByRole('textbox', { name: 'Name of the plot' });
  await name.fill(long);
  await name.press('Enter');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe(long);
  await expect(name).toHaveValue(long);
  for (const [size, width, height] of [['phone', 390, 844], ['laptop', 1440, 900]] as const) {
    await page.setViewportSize({ width, height });
    await name.scrollIntoViewIfNeeded();
    await page.screenshot({ path: `test-results/long-name-${size}.png` });
    expect(await name.evaluate((field) => [field.scrollHeight <= field.clientHeight + 1, field.scrollWidth <= field.clientWidth]), size).toEqual([true, true]);
  }
  await name.fill('In two\nlines');
  await name.press('Tab');
  await expect(name).toHaveValue('In two lines');
  await expect.poll(async () => (await readPlot(request, plot.id)).name).toBe('In two lines');
});
