import { describe, expect, it, vi } from 'vitest';
import { memoryFetch } from '../bench/memory';
import { sampleOutline, sampleSheet } from '../core/fake';
import type * as agronomy from '../generated/agronomy';
import { Book } from '../state/book.svelte';
import { Desk } from '../state/desk.svelte';
import { Server, type Fetch } from '../state/server';
import { keepSheet, sameSheet } from './keepSheet';

const stamp = (id: string) => ({ id, revision: 1, created_at: '', updated_at: '' });

/** A desk, and everything that it sends; the program works out the sample sheet. */
async function opened() {
  const program = memoryFetch({
    properties: [], surveys: [], sheets: [],
    plots: [Object.assign(stamp('p'), { property_id: 'l', name: 'Strip', spreader_id: 'a', mix_id: 'b', driver: { date: '2026-05-01', habit: true }, outline: { type: 'Polygon', coordinates: sampleOutline } })],
    spreaders: [Object.assign(stamp('a'), { name: 'Hopper', document: { name: 'Hopper', patterns: { usual: { shape: 'flat', throw_m: 5 } } } })],
    mixes: [Object.assign(stamp('b'), { name: 'Oats', document: { name: 'Oats', items: [] } })],
  }, { result: sampleSheet() });
  const sent: { url: string; headers: unknown; body: Record<string, unknown> }[] = [];
  const reach = { silent: false };
  const heard: Fetch = (url, init) => {
    if (reach.silent) return Promise.reject(new TypeError('no network'));
    if (init?.method) sent.push({ url, headers: init.headers, body: JSON.parse(String(init.body)) as Record<string, unknown> });
    return program(url, init);
  };
  const open = async () => {
    const book = new Book(new Server(heard));
    await book.load();
    const desk = new Desk(book, 'p');
    await desk.open();
    return desk;
  };
  return { desk: await open(), open, sent, reach };
}

describe('keeping a sheet', () => {
  it('sends it with what it was made from, under an id of its own', async () => {
    const { desk, sent } = await opened();
    const { sheet } = await keepSheet(desk, 'metric', sampleSheet());
    expect(sent).toHaveLength(1);
    expect(sent[0]!.url).toBe(`/api/v1/sheets/${sheet.id}`);
    expect(sent[0]!.headers).toMatchObject({ 'If-None-Match': '*' });
    expect(sent[0]!.body).toMatchObject({
      plot_id: 'p', spreader_id: 'a', mix_id: 'b', date: '2026-05-01',
      inputs: { plot: { name: 'Strip' }, spreader: { name: 'Hopper' }, mix: { name: 'Oats' }, options: { habit: true, units: 'metric' } },
    });
  });

  it('keeps one sheet once, whoever asks and whenever', async () => {
    const { desk, open, sent } = await opened();
    expect((await keepSheet(desk, 'us', sampleSheet())).already).toBe(false);
    expect((await keepSheet(desk, 'us', sampleSheet())).already).toBe(true);
    expect((await keepSheet(await open(), 'metric', { ...sampleSheet(), units: 'metric' })).already).toBe(true); // the page is loaded anew
    expect(sent).toHaveLength(1);
    desk.change('Another day', { options: { ...desk.draft.options, date: '2027-05-01' } });
    expect((await keepSheet(desk, 'us', sampleSheet())).already).toBe(false);
  });

  it('keeps it once before the program has it', async () => {
    const { desk, sent, reach } = await opened();
    reach.silent = true;
    const first = keepSheet(desk, 'us', sampleSheet());
    await vi.waitFor(() => expect(desk.book.sheets).toHaveLength(1));
    expect((await keepSheet(desk, 'us', sampleSheet())).already).toBe(true);
    await first;
    expect(sent).toHaveLength(0);
  });
});

describe('two sheets', () => {
  const changed = (change: (sheet: agronomy.Sheet) => void) => {
    const one = sampleSheet();
    change(one);
    return one;
  };
  it.each([
    ['the words', true, changed((s) => (s.spreader.says = ['otherwise']))],
    ['a hair', true, changed((s) => (s.drive.length_m *= 1 + 1e-9))],
    ['an amount', false, changed((s) => (s.materials[0]!.spread_kg *= 1.01))],
    ['a corner', false, changed((s) => (s.ground.outline = [s.ground.outline[0]!.slice(1)]))],
    ['the plan', false, changed((s) => (s.drive.turns += 1))],
    ['a load', false, changed((s) => s.loads.push(s.loads[0]!))],
  ])('that differ by %s: the same is %s', (_, same, other) => {
    expect(sameSheet(sampleSheet(), other)).toBe(same);
  });
});
