// What is deleted goes after a while, may be taken back before, and never goes
// over what somebody else did.
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type * as record from '../generated/record';
import { Book } from './book.svelte';
import { Desk } from './desk.svelte';
import { Notes, Program } from './fake';
import { Server, type Stamp } from './server';

const stamp = (id: string): Stamp => ({ id, revision: 1, created_at: '', updated_at: '' });
const outline = { type: 'Polygon', coordinates: [[[0, 0], [0, 1], [1, 1], [0, 0]]] };
const machine = (id: string, name: string) => Object.assign(stamp(id), { name, document: { name, patterns: { usual: { shape: 'flat', throw_m: 5 } } } });

function filled(): Program {
  const program = new Program();
  const shelf = program.shelves;
  shelf['properties'] = [Object.assign(stamp('land'), { name: 'Land' })];
  shelf['plots'] = [
    Object.assign(stamp('p'), { property_id: 'land', name: 'Strip', outline, spreader_id: 's' }),
    Object.assign(stamp('q'), { property_id: 'land', name: 'Bench', outline, spreader_id: 't' }),
  ];
  shelf['surveys'] = [Object.assign(stamp('used'), { plot_id: 'p', in_use: true, area_m2: 5 }), Object.assign(stamp('spare'), { plot_id: 'p', in_use: false, area_m2: 6 })];
  shelf['spreaders'] = [machine('s', 'Old'), machine('t', 'New')];
  shelf['sheets'] = [Object.assign(stamp('k'), { plot_id: 'p', date: '2026-05-01', result: {} })];
  return program;
}

const memory = new Notes();
async function opened(program: Program, id = 'p') {
  const book = new Book(new Server(program.fetch), { store: localStorage, memory });
  await book.load();
  const desk = new Desk(book, id);
  await desk.open();
  return { book, desk };
}
const names = (all: readonly Stamp[]) => all.map((one) => (one as record.Plot).name);
/** Time passes for the page, and what it sends is answered. */
const after = (seconds: number) => vi.advanceTimersByTimeAsync(seconds * 1000);
const plain = (program: Program) => program.log.filter((line) => line.startsWith('deleted'));

beforeEach(() => {
  vi.useFakeTimers();
  localStorage.clear();
  memory.pages.clear();
});
afterEach(() => vi.useRealTimers());

describe('deleting', () => {
  it('hides a plot at once, and deletes it with its sheets and measurements after a while', async () => {
    const program = filled();
    const { book, desk } = await opened(program);
    desk.remove();
    expect([names(book.plots), book.sheets, book.seasons.size]).toEqual([['Bench'], [], 0]);
    await after(5);
    expect(plain(program)).toEqual([]);
    await book.load(); // whoever reads the notebook meanwhile sees it no more
    expect(names(book.plots)).toEqual(['Bench']);
    await after(20);
    expect(plain(program)).toEqual(['deleted sheets', 'deleted plots Strip']);
    expect(program.shelves['surveys']).toEqual([]);
    expect(book.removals.all).toEqual([]);
    expect(Object.keys(localStorage)).toEqual([]);
  });

  it('takes back everything while it is held', async () => {
    const program = filled();
    const { book, desk } = await opened(program);
    desk.remove();
    book.removals.takeBack('p');
    await after(60);
    expect(plain(program)).toEqual([]);
    expect([names(book.plots).sort(), book.sheets.length, book.seasons.size]).toEqual([['Bench', 'Strip'], 1, 1]);
  });

  it('waits for the program, through a reload, and can be taken back until then', async () => {
    const program = filled();
    const { book, desk } = await opened(program);
    program.silent = true;
    desk.remove();
    await after(20);
    expect(book.removals.going.get('p')).toBe('waiting');
    book.removals.takeBack('p');
    expect(names(book.plots)).toContain('Strip');
    desk.remove();
    await after(2); // the page is closed and opened
    program.silent = false;
    const again = new Book(new Server(program.fetch), { store: localStorage, memory });
    await again.load();
    expect(names(again.plots)).toEqual(['Bench']);
    await after(20);
    expect(names(program.shelves['plots']!)).toEqual(['Bench']);
    expect([again.removals.all, book.removals.all]).toEqual([[], []]);
    expect(again.removals.kept).toEqual([]);
  });

  it.each([
    ['the plot was changed', (p: Program) => Object.assign(p.shelves['plots']![0]!, { revision: 2, name: 'Theirs' }), 'changed it meanwhile'],
    ['a sheet of it was kept', (p: Program) => p.shelves['sheets']!.push(Object.assign(stamp('l'), { plot_id: 'p', date: '2026-06-01' })), 'a sheet of it was kept'],
    ['its sheet was written on', (p: Program) => Object.assign(p.shelves['sheets']![0]!, { revision: 2 }), 'changed it meanwhile'],
  ])('deletes nothing where %s meanwhile, and says so', async (_, meanwhile, words) => {
    const program = filled();
    const { book, desk } = await opened(program);
    desk.remove();
    meanwhile(program);
    await after(20);
    expect(plain(program)).toEqual([]);
    expect(book.removals.kept[0]?.problem.sentence).toContain(words);
    expect(book.plots).toHaveLength(2);
    book.removals.read('p');
    expect(book.removals.kept).toEqual([]);
  });

  it('leaves alone what another page of the device took back', async () => {
    const program = filled();
    const { book, desk } = await opened(program);
    desk.remove();
    const other = await opened(program, 'q');
    other.book.removals.takeBack('p');
    await after(20);
    expect(plain(program)).toEqual([]);
    expect(names(book.plots)).toContain('Strip');
  });

  it('forgets a plot that was never sent, with its measurement', async () => {
    const program = filled();
    const { book } = await opened(program);
    program.silent = true;
    const made = book.outbox.make('/plots', { property_id: 'land', name: 'Slip' });
    await after(5);
    const plot = await made;
    void book.outbox.make('/surveys', { plot_id: plot.id, method: 'taped', date: '2026-05-01', area_m2: 5, in_use: true });
    await after(5);
    book.remove('/plots', plot, 'the plot Slip');
    program.silent = false;
    await after(40);
    expect(names(program.shelves['plots']!)).toEqual(['Strip', 'Bench']);
    expect(Object.keys(localStorage)).toEqual([]);
    expect(book.outbox.standing.size).toBe(0);
  });

  it('leaves a measurement out of the sheet, and puts it back', async () => {
    const program = filled();
    const { book, desk } = await opened(program);
    book.remove('/surveys', desk.surveys.find((s) => s.id === 'spare')!, 'a measurement');
    expect(desk.surveys.map((s) => s.id)).toEqual(['used']);
    book.removals.takeBack('spare');
    expect(desk.surveys).toHaveLength(2);
    book.remove('/surveys', desk.surveys.find((s) => s.id === 'spare')!, 'a measurement');
    await after(20);
    expect(program.shelves['surveys']).toMatchObject([{ id: 'used' }]);
    expect(desk.surveys.map((s) => s.id)).toEqual(['used']);
  });

  it('works the plot with another spreader, and gives it back with the way back', async () => {
    const program = filled();
    const { book, desk } = await opened(program);
    desk.removeGoods('/spreaders');
    expect([desk.draft.spreaderId, names(book.spreaders)]).toEqual(['t', ['New']]);
    book.removals.takeBack('s');
    expect(desk.draft.spreaderId).toBe('s');
    desk.removeGoods('/spreaders');
    await after(20);
    expect(plain(program)).toEqual(['deleted spreaders Old']);
    desk.undo(); // to a spreader that is gone: the other stays
    expect(desk.draft).toMatchObject({ spreaderId: 't', spreader: { name: 'New' } });
    await after(5);
    expect([desk.keeping, desk.conflict]).toEqual(['kept', undefined]);
  });

  it('leaves a spreader that somebody took for another plot meanwhile', async () => {
    const program = filled();
    const { book, desk } = await opened(program);
    desk.removeGoods('/spreaders');
    await after(1);
    Object.assign(program.shelves['plots']!.find((one) => one.id === 'q')!, { spreader_id: 's', revision: 2 });
    await after(20);
    expect(plain(program)).toEqual([]);
    expect(book.removals.kept[0]?.problem.sentence).toBe('Bench uses it: choose another there first');
  });
});
