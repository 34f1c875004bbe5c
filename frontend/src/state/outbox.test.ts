import { beforeEach, describe, expect, it, vi } from 'vitest';
import type * as record from '../generated/record';
import { Book } from './book.svelte';
import { Desk } from './desk.svelte';
import { Notes, Program } from './fake';
import { Server, type Fetch, type Stamp } from './server';

const memory = new Notes();
async function opened(program: Program): Promise<Book> {
  const book = new Book(new Server(program.fetch), { store: localStorage, memory });
  await book.load();
  return book;
}
const outline = { type: 'Polygon' as const, coordinates: [[[0, 0], [0, 1], [1, 1], [0, 0]]] as [number, number][][] };
const settled = (check: () => void) => vi.waitFor(check, { timeout: 12_000, interval: 20 });

/** The page with this book is closed. */
function closed(book: Book): void {
  for (const { keeper } of (book.outbox as unknown as { keepers: Map<string, { keeper: { stop(): void } }> }).keepers.values()) keeper.stop();
}

/** A store without room. */
function fullStore(): Storage {
  const none = () => null;
  return { length: 0, key: none, getItem: none, removeItem: none, clear: none, setItem: () => { throw new DOMException('full', 'QuotaExceededError'); } };
}

beforeEach(() => {
  localStorage.clear();
  memory.pages.clear();
});

describe('outbox', () => {
  it('makes records at once while the program answers', async () => {
    const program = new Program();
    const book = await opened(program);
    const land = await book.outbox.make('/properties', { name: 'Land' });
    expect(land).toMatchObject({ revision: 1, name: 'Land' });
    expect(book.properties).toEqual([land]);
    expect(localStorage.length).toBe(0);
  });

  it('throws a refusal and keeps nothing of it', async () => {
    const book = await opened(new Program());
    await expect(book.outbox.make('/properties', { name: '' })).rejects.toMatchObject({ code: 'name', where: { field: 'name' } });
    expect(book.properties).toEqual([]);
    expect(localStorage.length).toBe(0);
    expect(book.outbox.standing.size).toBe(0);
  });

  it('keeps new records through a reload, and sends each once, after what it names', async () => {
    const program = new Program();
    const first = await opened(program);
    program.silent = true;
    const land = await first.outbox.make('/properties', { name: 'Land' });
    const plot = await first.outbox.make('/plots', { property_id: land.id, name: 'Creek' });
    await first.outbox.make('/surveys', { plot_id: plot.id, method: 'taped', date: '2026-11-25', area_m2: 5, outline, in_use: true });
    await first.outbox.make('/mixes', { name: 'Oats', document: { name: 'Oats' } });
    expect(plot.revision).toBe(0);
    expect(first.standingOf(plot.id)?.state).toBe('waiting');

    const second = await opened(program); // the page is loaded anew, still without an answer
    expect(second.remembered).toBe(true);
    expect(second.plots).toMatchObject([{ id: plot.id, name: 'Creek', outline }]);
    expect(second.mixes).toMatchObject([{ name: 'Oats' }]);
    expect(await second.readSurveys(plot.id)).toMatchObject([{ method: 'taped', in_use: true }]);
    closed(first);

    program.silent = false;
    second.outbox.sendOn();
    await settled(() => expect(program.log).toHaveLength(4));
    await settled(() => expect(localStorage.length).toBe(0));
    expect(program.log.filter((line) => !line.includes('mixes'))).toEqual(['made properties Land', 'made plots Creek', 'made surveys']);
    await settled(() => expect(second.plot(plot.id)).toMatchObject({ revision: 2, outline }));
    expect(second.outbox.standing.size).toBe(0);
    expect(program.shelves['plots']).toHaveLength(1);
  });

  it('takes its own record for sent when only the answer was lost', async () => {
    const program = new Program();
    const book = await opened(program);
    program.loseAnswers = true;
    const made = await book.outbox.make('/properties', { name: 'Land' });
    expect(made.revision).toBe(0);
    program.loseAnswers = false;
    book.outbox.sendOn();
    await settled(() => expect(book.outbox.standing.size).toBe(0));
    expect(program.log).toEqual(['made properties Land']);
    expect(book.properties).toMatchObject([{ revision: 1 }]);
    expect(book.outbox.conflicts).toEqual([]);
  });

  it('draws a new plot on the desk without an answer, and sends it with its outline', async () => {
    const program = new Program();
    program.shelves['properties'] = [Object.assign({ id: 'land', revision: 1, created_at: '', updated_at: '' }, { name: 'Land' })];
    const book = await opened(program);
    program.silent = true;
    const plot = await book.outbox.make('/plots', { property_id: 'land', name: 'Creek' });
    const desk = new Desk(book, plot.id);
    await desk.open();
    expect(desk.keeping).toBe('waiting');
    desk.change('Draw', { outline: outline.coordinates });
    desk.change('Rename', { name: 'Creek bottom' });
    const again = await opened(program);
    expect(again.plot(plot.id)).toMatchObject({ name: 'Creek bottom', outline, revision: 0 });
    program.silent = false;
    book.outbox.sendOn();
    await settled(() => expect(desk.keeping).toBe('kept'));
    expect(program.shelves['plots']).toMatchObject([{ id: plot.id, name: 'Creek bottom', outline }]);
    expect(desk.kept?.revision).toBeGreaterThan(0);
  });

  it('keeps a changed spreader through a reload, and does not overwrite what was changed meanwhile', async () => {
    const program = new Program();
    const stamp = { id: 's', revision: 1, created_at: '', updated_at: '' };
    const machine = Object.assign({ ...stamp }, { name: 'Hopper', document: { name: 'Hopper' } });
    program.shelves['spreaders'] = [machine];
    const first = await opened(program);
    program.silent = true;
    first.outbox.keep('/spreaders', machine, (kept) => ({ ...kept, name: 'Ours', document: { name: 'Ours' } }));
    const second = await opened(program);
    expect(second.spreaders).toMatchObject([{ name: 'Ours', revision: 1 }]);
    program.shelves['spreaders'] = [{ ...machine, name: 'Theirs', document: { name: 'Theirs' }, revision: 2 } as Stamp];
    program.silent = false;
    second.outbox.sendOn();
    await settled(() => expect(second.outbox.conflicts).toHaveLength(1));
    expect(program.shelves['spreaders']).toMatchObject([{ name: 'Theirs', revision: 2 }]);
    second.outbox.insist(second.outbox.conflicts[0]!);
    await settled(() => expect(program.shelves['spreaders']).toMatchObject([{ name: 'Ours', revision: 3 }]));
    await settled(() => expect(localStorage.length).toBe(0));
  });

  it('hands out both versions of a spreader that two people changed', async () => {
    const program = new Program();
    const document = (throw_m: number) => ({ name: 'Hopper', patterns: { usual: { shape: 'triangle', throw_m } } });
    const stamp = { id: 's', revision: 1, created_at: '', updated_at: '' };
    program.shelves['spreaders'] = [Object.assign(stamp, { name: 'Hopper', document: document(8) })];
    program.shelves['plots'] = [Object.assign({ ...stamp, id: 'p' }, { property_id: 'land', name: 'Strip', spreader_id: 's' })];
    const book = await opened(program);
    const desk = new Desk(book, 'p');
    await desk.open();
    program.shelves['spreaders'] = [Object.assign({ ...stamp, revision: 2 }, { name: 'Hopper', document: document(9) })];
    const machine = desk.draft.spreader!;
    desk.change('Change the pattern', { spreader: { ...machine, patterns: { usual: { shape: 'triangle', throw_m: 7 } } } });
    await settled(() => expect(desk.conflict).toBeDefined());
    expect(desk.conflict).toMatchObject({ path: '/spreaders', mine: { document: document(7) }, theirs: { document: document(9) } });

    desk.settle('theirs');
    expect(desk.draft.spreader?.patterns.usual.throw_m).toBe(9);
    expect(desk.conflict).toBeUndefined();
    desk.undo(); // ours was not lost
    await settled(() => expect(program.shelves['spreaders']![0]).toMatchObject({ revision: 3, document: document(7) }));
    expect(localStorage.length).toBe(0);
  });

  /** A kept plot with an outline, and without an answer a new measurement and a new name. */
  async function measuredOutOfReach() {
    const program = new Program();
    const stamp = { id: 'p', revision: 1, created_at: '', updated_at: '' };
    const drawn = { type: 'Polygon' as const, coordinates: [[[5, 5], [5, 6], [6, 6], [5, 5]]] as [number, number][][] };
    program.shelves['plots'] = [Object.assign({ ...stamp }, { property_id: 'land', name: 'Strip', outline: drawn })];
    program.shelves['properties'] = [Object.assign({ ...stamp, id: 'land' }, { name: 'Land' })];
    const book = await opened(program);
    program.silent = true;
    const desk = new Desk(book, 'p');
    await desk.open();
    await desk.addSurvey({ plot_id: 'p', method: 'taped', date: '2026-11-25', area_m2: 5, outline, in_use: true });
    desk.change('Rename', { name: 'Strip of ours' });
    return { program, book };
  }

  it('leaves the outline to a measurement out of reach through a reload', async () => {
    const { program, book } = await measuredOutOfReach();
    closed(book);
    const again = await opened(program);
    program.silent = false;
    again.outbox.sendOn();
    await settled(() => expect(again.outbox.standing.size).toBe(0));
    expect(program.shelves['plots']).toMatchObject([{ name: 'Strip of ours', outline }]);
  });

  it('overwrites nothing of a plot that somebody changed before our measurement came', async () => {
    const { program, book } = await measuredOutOfReach();
    Object.assign(program.shelves['plots']![0]!, { name: 'Theirs', revision: 2 });
    program.silent = false;
    book.outbox.sendOn();
    await settled(() => expect(book.outbox.conflicts).toMatchObject([{ mine: { name: 'Strip of ours' }, theirs: { name: 'Theirs', revision: 3 } }]));
  });

  /** A desk with a new name for the plot that is not kept: refused, or disputed. */
  async function renamed(meanwhile: (program: Program) => void) {
    const program = new Program();
    const stamp = { id: 'p', revision: 1, created_at: '', updated_at: '' };
    program.shelves['plots'] = [Object.assign({ ...stamp }, { property_id: 'land', name: 'Strip', outline })];
    program.shelves['properties'] = [Object.assign({ ...stamp, id: 'land' }, { name: 'Land' })];
    const book = await opened(program);
    const desk = new Desk(book, 'p');
    await desk.open();
    meanwhile(program);
    desk.change('Rename', { name: 'Strip of ours' });
    await settled(() => expect(['refused', 'conflict']).toContain(desk.keeping));
    return { program, book, desk };
  }
  const guess = { plot_id: 'p', method: 'guessed' as const, date: '2026-11-25', area_m2: 5, in_use: false };

  it('takes a guess and leaves what is not kept as it is', async () => {
    const { book, desk } = await renamed((program) => (program.refuses = 'plots'));
    await desk.addSurvey(guess);
    expect(desk.draft.name).toBe('Strip of ours');
    expect(book.outbox.wished('/plots', 'p')?.name).toBe('Strip of ours');
  });

  it('keeps ours, when that is chosen, whatever was measured meanwhile', async () => {
    const { program, desk } = await renamed(({ shelves }) => Object.assign(shelves['plots']![0]!, { name: 'Theirs', revision: 2 }));
    await desk.addSurvey(guess);
    expect(desk.draft.name).toBe('Strip of ours');
    desk.settle('mine');
    await settled(() => expect(program.shelves['plots']).toMatchObject([{ name: 'Strip of ours' }]));
  });

  it('does not put an older reading over what was kept since', async () => {
    const { program, book, desk } = await renamed((p) => (p.refuses = 'plots'));
    let letGo = () => {};
    const held = new Promise<void>((done) => (letGo = done));
    const { fetch } = program;
    program.refuses = '';
    Object.assign(book.server, {
      fetch: async (input: string, init?: RequestInit) => {
        const reply = await fetch(input, init);
        if (input.endsWith('/plots/p') && !init?.method) await held;
        return reply;
      },
    });
    const again = new Desk(book, 'p');
    const opening = again.open();
    await Promise.resolve();
    desk.retry();
    await settled(() => expect(program.shelves['plots']).toMatchObject([{ revision: 2 }]));
    await settled(() => expect(book.outbox.standing.size).toBe(0));
    letGo();
    await opening;
    expect(again.kept).toMatchObject({ revision: 2, name: 'Strip of ours' });
    expect(book.plot('p')).toMatchObject({ revision: 2, name: 'Strip of ours' });
  });

  it('shows what the device remembers while a network swallows what is asked', async () => {
    const program = new Program();
    const stamp = { id: 'p', revision: 1, created_at: '', updated_at: '' };
    program.shelves['plots'] = [Object.assign({ ...stamp }, { property_id: 'land', name: 'Strip', outline })];
    const device = { store: localStorage, memory: new Notes() }; // other tests' pages still write to theirs
    await new Book(new Server(program.fetch), device).load();
    expect(device.memory.pages.get('records')).toContain('Strip');
    let answer = () => {};
    const swallowed = new Promise<void>((done) => (answer = done));
    const book = new Book(new Server((input, init) => swallowed.then(() => program.fetch(input, init))), device);
    const loading = book.load();
    await settled(() => expect(book.plots).toMatchObject([{ name: 'Strip' }]));
    const desk = new Desk(book, 'p');
    await desk.open();
    expect(desk.draft.name).toBe('Strip');
    expect(book.remembered).toBe(true);
    answer();
    await loading;
    expect(book.remembered).toBe(false);
  });

  it('sends the measurements of a plot in the order in which they were taken', async () => {
    const program = new Program();
    const stamp = { id: 'p', revision: 1, created_at: '', updated_at: '' };
    program.shelves['plots'] = [Object.assign({ ...stamp }, { property_id: 'land', name: 'Strip' })];
    const book = await opened(program);
    program.silent = true;
    const first = await book.outbox.make('/surveys', { plot_id: 'p', method: 'taped', date: '2026-11-25', area_m2: 5, in_use: true });
    const second = await book.outbox.make('/surveys', { plot_id: 'p', method: 'walked', date: '2026-11-25', area_m2: 6, in_use: true });
    program.silent = false;
    program.delays = [30]; // the first that is sent arrives last
    book.outbox.sendOn();
    await settled(() => expect(book.outbox.standing.size).toBe(0));
    expect(program.shelves['surveys']!.map((one) => one.id)).toEqual([first.id, second.id]);
  });

  it('lets the plot go when its measurement is refused', async () => {
    const { program, book } = await measuredOutOfReach();
    program.refuses = 'surveys';
    program.silent = false;
    book.outbox.sendOn();
    await settled(() => expect(program.shelves['plots']).toMatchObject([{ name: 'Strip of ours' }]));
  });

  it('does not lose what one page changed when another page sends what it took up before', async () => {
    const program = new Program();
    const first = await opened(program);
    program.silent = true;
    const land = await first.outbox.make('/properties', { name: 'Land' });
    const second = await opened(program);
    first.outbox.keep('/properties', land, (kept) => ({ ...kept, name: 'Land by the creek' }));
    closed(first);
    program.silent = false;
    second.outbox.sendOn();
    await settled(() => expect(second.outbox.standing.size).toBe(0));
    expect(program.shelves['properties']).toMatchObject([{ name: 'Land by the creek' }]);
  });

  it('sends from two pages at once without a doubled record or a conflict', async () => {
    const program = new Program();
    const first = await opened(program);
    program.silent = true;
    const land = await first.outbox.make('/properties', { name: 'Land' });
    const plot = await first.outbox.make('/plots', { property_id: land.id, name: 'Creek' });
    await first.outbox.make('/surveys', { plot_id: plot.id, method: 'taped', date: '2026-11-25', area_m2: 5, outline, in_use: true });
    const second = await opened(program);
    program.silent = false;
    first.outbox.sendOn();
    await settled(() => expect(first.outbox.standing.size).toBe(0));
    second.outbox.sendOn();
    await settled(() => expect(second.outbox.standing.size).toBe(0));
    expect(second.outbox.conflicts).toEqual([]);
    expect(program.log).toHaveLength(3);
    expect(localStorage.length).toBe(0);
  });

  it('takes for its own what another page sent before the page that made it', async () => {
    const program = new Program();
    let reach = true;
    const fetch: Fetch = (input, init) => (reach ? program.fetch(input, init) : Promise.reject(new TypeError('no network')));
    const first = new Book(new Server(fetch), { store: localStorage, memory });
    await first.load();
    reach = false;
    const land = await first.outbox.make('/properties', { name: 'Land' });
    const plot = await first.outbox.make('/plots', { property_id: land.id, name: 'Creek' });
    await first.outbox.make('/surveys', { plot_id: plot.id, method: 'taped', date: '2026-11-25', area_m2: 5, outline, in_use: true });
    const second = await opened(program);
    await settled(() => expect(second.outbox.standing.size).toBe(0));
    expect(program.shelves['plots']).toMatchObject([{ revision: 2, outline }]);
    reach = true;
    first.outbox.sendOn();
    await settled(() => expect(first.outbox.standing.size).toBe(0));
    expect(first.outbox.conflicts).toEqual([]);
    expect(program.log).toHaveLength(3);
    expect(first.plot(plot.id)).toMatchObject({ revision: 2, outline });
    expect(localStorage.length).toBe(0);
  });

  it('takes a sheet for sent although something was said of it since', async () => {
    const program = new Program();
    const book = await opened(program);
    program.loseAnswers = true;
    const made = await book.outbox.make('/sheets', { plot_id: '', date: '2026-11-25', inputs: { plot: {} } });
    program.loseAnswers = false;
    Object.assign(program.shelves['sheets']![0]!, { revision: 2, done: { date: '2026-11-25' }, inputs: undefined });
    book.outbox.sendOn();
    await settled(() => expect(book.outbox.standing.size).toBe(0));
    expect(book.outbox.conflicts).toEqual([]);
    expect(program.shelves['sheets']).toMatchObject([{ id: made.id, revision: 2, done: { date: '2026-11-25' } }]);
  });

  it('says that nothing is kept on a device without room, until it is sent', async () => {
    for (const device of [undefined, { store: fullStore(), memory }]) {
      const program = new Program();
      const book = new Book(new Server(program.fetch), device);
      await book.load();
      program.silent = true;
      await book.outbox.make('/properties', { name: 'Land' });
      expect(book.outbox.full).toBe(true);
      program.silent = false;
      book.outbox.sendOn();
      await settled(() => expect(book.outbox.standing.size).toBe(0));
      expect(book.outbox.full).toBe(false);
    }
  });

  it('discards a new plot that is refused, with what was made for it and nothing else', async () => {
    const program = new Program();
    const book = await opened(program);
    program.silent = true;
    const land = await book.outbox.make('/properties', { name: 'Land' });
    const plot = await book.outbox.make('/plots', { property_id: land.id, name: '' });
    await book.outbox.make('/surveys', { plot_id: plot.id, method: 'taped', date: '2026-11-25', area_m2: 5, outline, in_use: true });
    program.silent = false;
    book.outbox.sendOn();
    await settled(() => expect(book.outbox.standing.get(plot.id)?.state).toBe('refused'));
    expect(book.outbox.madeFor(plot.id)).toHaveLength(1);
    await book.discard('/plots', plot.id);
    expect(book.outbox.standing.size).toBe(0);
    expect(book.plots).toEqual([]);
    expect(book.properties).toMatchObject([{ name: 'Land', revision: 1 }]);
    expect(localStorage.length).toBe(0);
  });

  it('discards a change that is refused, and shows what the program has', async () => {
    const program = new Program();
    const stamp = { id: 'land', revision: 1, created_at: '', updated_at: '' };
    program.shelves['properties'] = [Object.assign(stamp, { name: 'Land' })];
    const book = await opened(program);
    book.outbox.keep('/properties', book.properties[0]!, (kept) => ({ ...kept, name: '' }));
    await settled(() => expect(book.outbox.standing.get('land')?.state).toBe('refused'));
    await book.discard('/properties', 'land');
    expect(book.properties).toMatchObject([{ name: 'Land' }]);
    expect(book.outbox.standing.size).toBe(0);
    expect(localStorage.length).toBe(0);
  });
});
