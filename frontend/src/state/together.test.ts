// Two people at one plot, and one person who leaves a plot and comes back.
import { beforeEach, describe, expect, it, vi } from 'vitest';
import type * as record from '../generated/record';
import { Book } from './book.svelte';
import { Desk } from './desk.svelte';
import { Notes, Program } from './fake';
import { undoLabel } from './history';
import { Server, type Stamp } from './server';

const stamp = (id: string): Stamp => ({ id, revision: 1, created_at: '', updated_at: '' });
const outline = { type: 'Polygon' as const, coordinates: [[[0, 0], [0, 1], [1, 1], [0, 0]]] as [number, number][][] };
const machine = (id: string, hopper_kg: number) => Object.assign(stamp(id), { name: 'Hopper', document: { name: 'Hopper', hopper_kg, patterns: { usual: { shape: 'flat', throw_m: 5 } } } });
const memory = new Notes();

async function opened(own: Partial<record.Plot> = { spreader_id: 's' }) {
  const program = new Program();
  const shelf = program.shelves;
  shelf['properties'] = [Object.assign(stamp('land'), { name: 'Land' })];
  shelf['plots'] = [Object.assign(stamp('p'), { property_id: 'land', name: 'Strip', outline, ...own }), Object.assign(stamp('q'), { property_id: 'land', name: 'Bench', outline, spreader_id: 's' })];
  shelf['spreaders'] = [machine('s', 40), machine('t', 60)];
  const book = new Book(new Server(program.fetch), { store: localStorage, memory });
  await book.load();
  const desk = new Desk(book, 'p');
  await desk.open();
  const plot = () => program.shelves['plots']!.find((one) => one.id === 'p') as record.Plot;
  /** Somebody else changes a record. */
  const theirs = (name: 'plots' | 'spreaders', id: string, change: object) => {
    shelf[name] = shelf[name]!.map((one) => (one.id === id ? Object.assign({ ...one }, change, { revision: one.revision + 1 }) : one));
  };
  const kept = () => vi.waitFor(() => expect(desk.keeping).toBe('kept'));
  return { program, book, desk, plot, theirs, kept };
}
const settled = (check: () => void) => vi.waitFor(check, { timeout: 5000, interval: 10 });

beforeEach(() => {
  localStorage.clear();
  memory.pages.clear();
});

describe('two people at one plot', () => {
  it('keep both changes where they touch different things, and undo takes back ours alone', async () => {
    const { desk, plot, theirs, kept } = await opened();
    theirs('plots', 'p', { note: 'wet in spring' });
    desk.change('Rename', { name: 'Creek' });
    await settled(() => expect(plot()).toMatchObject({ name: 'Creek', note: 'wet in spring', revision: 3 }));
    expect([desk.draft.note, desk.conflict]).toEqual(['wet in spring', undefined]);
    await kept();
    desk.undo();
    await settled(() => expect(plot()).toMatchObject({ name: 'Strip', note: 'wet in spring' }));
    expect(localStorage.length).toBe(0);
  });

  it.each([
    ['mine', 'Ours', 'Theirs'],
    ['theirs', 'Theirs', 'Ours'],
  ] as const)('choose between what both changed and keep the rest of both: %s', async (choice, stays, other) => {
    const { desk, plot, theirs, kept } = await opened();
    theirs('plots', 'p', { name: 'Theirs', note: 'wet in spring' });
    desk.change('Drive slower', { options: { ...desk.draft.options, speed_mps: 2 } });
    desk.change('Rename', { name: 'Ours' });
    await settled(() => expect(desk.conflict).toBeDefined());
    const { mine, theirs: others } = desk.conflict!;
    expect([mine, others]).toMatchObject([{ name: 'Ours', note: 'wet in spring' }, { name: 'Theirs', note: 'wet in spring', driver: { speed_mps: 2 } }]);
    desk.settle(choice);
    await settled(() => expect(plot()).toMatchObject({ name: stays, note: 'wet in spring', driver: { speed_mps: 2 } }));
    await kept();
    desk.undo();
    await settled(() => expect(plot()).toMatchObject({ name: other, note: 'wet in spring', driver: { speed_mps: 2 } }));
    await kept();
  });

  it('keep both changes of one machine', async () => {
    const { desk, program, theirs, kept } = await opened();
    theirs('spreaders', 's', { document: { ...machine('s', 45).document } });
    desk.change('Change the spreader', { spreader: { ...desk.draft.spreader!, turn_radius_m: 2 } });
    await settled(() => expect(program.shelves['spreaders']![0]).toMatchObject({ document: { hopper_kg: 45, turn_radius_m: 2 } }));
    expect(desk.draft.spreader).toMatchObject({ hopper_kg: 45, turn_radius_m: 2 });
    await kept();
    desk.undo();
    await settled(() => expect((program.shelves['spreaders']![0] as record.Spreader).document).toEqual(machine('s', 45).document));
  });

  it('are laid together though the page was loaded anew between', async () => {
    const { program, book, desk, plot, theirs } = await opened();
    program.silent = true;
    desk.change('Rename', { name: 'Creek' });
    await settled(() => expect(desk.keeping).toBe('waiting'));
    book.outbox.standing.forEach((_, id) => (book.outbox as unknown as { keepers: Map<string, { keeper: { stop(): void } }> }).keepers.get(id)!.keeper.stop()); // the page is closed
    theirs('plots', 'p', { note: 'wet in spring' });
    program.silent = false;
    const again = new Book(new Server(program.fetch), { store: localStorage, memory });
    await again.load();
    await settled(() => expect(plot()).toMatchObject({ name: 'Creek', note: 'wet in spring' }));
    expect(again.outbox.conflicts).toEqual([]);
  });

  it('do not find a spreader disputed that nobody chose', async () => {
    const { desk, plot, theirs } = await opened({});
    expect(desk.draft.spreaderId).toBe('s'); // the first of all
    theirs('plots', 'p', { name: 'Theirs' });
    desk.change('Rename', { name: 'Ours' });
    await settled(() => expect(desk.conflict).toBeDefined());
    expect((desk.conflict!.mine as record.Plot).spreader_id).toBeUndefined();
    desk.settle('mine');
    await settled(() => expect(plot().name).toBe('Ours'));
    expect(plot().spreader_id).toBeUndefined();
    desk.chooseSpreader('t');
    await settled(() => expect(plot().spreader_id).toBe('t'));
    desk.chooseSpreader('s');
    await settled(() => expect(plot().spreader_id).toBe('s'));
  });
});

describe('who comes back to a plot', () => {
  it('goes on with undo where it was', async () => {
    const { desk, plot, kept } = await opened();
    desk.change('Rename', { name: 'Creek' });
    desk.change('Move a corner', { outline: [[[0, 0], [0, 2], [1, 1], [0, 0]]] });
    await kept();
    await desk.open();
    expect(undoLabel(desk.history)).toBe('Move a corner');
    desk.undo();
    desk.undo();
    await settled(() => expect(plot()).toMatchObject({ name: 'Strip', outline }));
  });

  it('finds what somebody else changed meanwhile, and does not undo it', async () => {
    const { desk, plot, theirs, kept } = await opened();
    desk.change('Rename', { name: 'Creek' });
    await kept();
    theirs('plots', 'p', { note: 'wet in spring', outline: { type: 'Polygon', coordinates: [[[0, 0], [0, 3], [1, 1], [0, 0]]] } });
    await desk.open();
    expect(desk.draft).toMatchObject({ name: 'Creek', note: 'wet in spring' });
    desk.undo();
    await settled(() => expect(plot()).toMatchObject({ name: 'Strip', note: 'wet in spring' }));
    expect(plot().outline!.coordinates[0]![1]).toEqual([0, 3]);
    expect(desk.conflict).toBeUndefined();
  });

  it('finds a spreader as it was changed from another plot, and does not undo that', async () => {
    const { book, desk, program, kept } = await opened();
    desk.change('Change the spreader', { spreader: { ...desk.draft.spreader!, turn_radius_m: 2 } });
    await kept();
    const other = new Desk(book, 'q');
    await other.open();
    other.change('Change the spreader', { spreader: { ...other.draft.spreader!, hopper_kg: 50 } });
    await kept();
    await desk.open();
    expect(desk.draft.spreader).toMatchObject({ turn_radius_m: 2, hopper_kg: 50 });
    desk.undo();
    await settled(() => expect((program.shelves['spreaders']![0] as record.Spreader).document).toEqual(machine('s', 50).document));
  });

  it('does not find what was discarded meanwhile', async () => {
    const { desk, book, program } = await opened();
    program.refuses = 'plots';
    desk.change('Rename', { name: 'Refused' });
    await settled(() => expect(desk.keeping).toBe('refused'));
    await book.discard('/plots', 'p');
    await desk.open();
    expect([desk.draft.name, undoLabel(desk.history)]).toEqual(['Strip', undefined]);
  });

  it('is told when somebody deleted it', async () => {
    const { desk, program } = await opened();
    program.shelves['plots'] = program.shelves['plots']!.slice(1);
    await desk.open();
    expect([desk.kept, desk.unopened?.status]).toEqual([undefined, 404]);
  });
});
