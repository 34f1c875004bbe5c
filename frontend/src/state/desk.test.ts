import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { memoryFetch } from '../bench/memory';
import type * as record from '../generated/record';
import type { PrepareRequest } from '../core/api';
import { FakeCore, sampleOutline } from '../core/fake';
import { FakeMap } from '../map/fake';
import { Book } from './book.svelte';
import { Desk } from './desk.svelte';
import { Hand } from './hand.svelte';
import { Live } from './live.svelte';
import { Server, type Stamp } from './server';

const stamp = (id: string): Stamp => ({ id, revision: 1, created_at: '', updated_at: '' });

async function setUp(own: Partial<record.Plot> = {}) {
  const shelves: Record<string, Stamp[]> = {
    properties: [Object.assign(stamp('land'), { name: 'Land' })],
    plots: [Object.assign(stamp('p'), { ...own, property_id: 'land', name: 'First', outline: { type: 'Polygon', coordinates: sampleOutline } })],
    spreaders: [Object.assign(stamp('s0'), { name: 'Another', document: { name: 'Another', patterns: { usual: { shape: 'flat', throw_m: 5 } } } }), Object.assign(stamp('s'), { name: 'Machine', document: { name: 'Machine', patterns: { usual: { shape: 'triangle', throw_m: 8 } } } })],
    mixes: [Object.assign(stamp('m0'), { name: 'Rye', document: { name: 'Rye', items: [] } }), Object.assign(stamp('m'), { name: 'Oats', document: { name: 'Oats', items: [{ material: 'oats', rate: { bags: 1 } }] } })],
  };
  const book = new Book(new Server(memoryFetch(shelves)));
  await book.load();
  const desk = new Desk(book, 'p');
  await desk.open();
  const core = new FakeCore();
  const live = new Live(core);
  const hand = new Hand(desk, live, core, () => 'us');
  const map = new FakeMap();
  hand.attach(map);
  const kept = () => shelves['plots']![0] as record.Plot;
  return { desk, live, hand, map, core, kept };
}

beforeEach(() => localStorage.clear());
afterEach(() => vi.restoreAllMocks());

describe('desk', () => {
  it('keeps every change at once, and what undo brings back', async () => {
    const { desk, kept } = await setUp();
    desk.change('Rename', { name: 'Second' });
    await vi.waitFor(() => expect(kept().name).toBe('Second'));
    desk.undo();
    await vi.waitFor(() => expect(kept().name).toBe('First'));
    desk.redo();
    await vi.waitFor(() => expect(kept().name).toBe('Second'));
  });

  it('asks the core for nothing before there is something to spread', async () => {
    const { desk } = await setUp({ spreader_id: 's', mix_id: 'm' });
    expect(desk.request('us')?.spreader.name).toBe('Machine');
    desk.change('None', { mix: undefined, mixId: '' });
    expect(desk.request('us')).toBeUndefined();
  });

  it('opens a plot on a device that lets the page keep nothing, or kept something else', async () => {
    localStorage.setItem('evenfall.goods.p', 'not ours');
    expect((await setUp()).desk.unopened).toBeUndefined();
    vi.stubGlobal('localStorage', { getItem: () => { throw new DOMException('denied', 'SecurityError'); } });
    const { desk } = await setUp();
    vi.unstubAllGlobals();
    expect(desk.unopened).toBeUndefined();
  });

  it('says which other plots are spread with the mix, and copies it for this one', async () => {
    const { desk } = await setUp({ mix_id: 'm', spreader_id: 's' });
    expect(desk.alsoOn('/mixes')).toEqual([]);
    const other = (id: string, own: Partial<record.Plot>) => desk.book.replacePlot(Object.assign(stamp(id), { property_id: 'land', name: id, ...own }) as record.Plot);
    other('Three Stumps', { mix_id: 'm' });
    other('Pond', { mix_id: 'm0', spreader_id: 's' });
    other('Unsaid', {}); // takes the first of both
    expect(desk.alsoOn('/mixes')).toEqual(['Three Stumps']);
    expect(desk.alsoOn('/spreaders')).toEqual(['Pond']);
    await desk.makeOwn('/mixes');
    expect(desk.draft.mix).toMatchObject({ name: 'Oats, First', items: [{ material: 'oats' }] });
    expect(desk.alsoOn('/mixes')).toEqual([]);
    desk.change('Change a rate', { mix: { ...desk.draft.mix!, items: [] } });
    await vi.waitFor(() => expect(desk.keeping).toBe('kept'));
    expect((desk.book.mixes.find((m) => m.id === 'm')!.document as { items: unknown[] }).items).toHaveLength(1);
    desk.undo();
    desk.undo();
    expect(desk.draft.mixId).toBe('m');
  });

  it('keeps the mix under its own record', async () => {
    const { desk } = await setUp({ mix_id: 'm' });
    desk.change('Rename the mix', { mix: { ...desk.draft.mix!, name: 'More oats' } });
    expect(desk.keeping).toBe('saving');
    await vi.waitFor(() => expect(desk.keeping).toBe('kept'));
    expect(desk.book.mixes.find((m) => m.id === 'm')).toMatchObject({ name: 'More oats', revision: 2, document: { name: 'More oats' } });
  });

  it('keeps the spreader and the mix with the plot, and undo brings the former back', async () => {
    const { desk, kept } = await setUp({ spreader_id: 's', mix_id: 'm' });
    desk.chooseSpreader('s0');
    desk.chooseMix('m0');
    expect(desk.draft.spreader?.name).toBe('Another');
    await vi.waitFor(() => expect(kept()).toMatchObject({ spreader_id: 's0', mix_id: 'm0' }));
    desk.undo();
    await vi.waitFor(() => expect(kept()).toMatchObject({ spreader_id: 's0', mix_id: 'm' }));
    expect(desk.draft.mix?.name).toBe('Oats');
  });

  it('takes over once what this device had chosen, and forgets it', async () => {
    localStorage.setItem('evenfall.goods.p', JSON.stringify({ spreaderId: 's', mixId: 'gone' }));
    const { desk, kept } = await setUp();
    expect(desk.draft).toMatchObject({ spreaderId: 's', mixId: 'm0' });
    await vi.waitFor(() => expect(kept().spreader_id).toBe('s'));
    expect(localStorage.getItem('evenfall.goods.p')).toBeNull();
  });

  it('lets the plot’s own choice stand before the device’s', async () => {
    localStorage.setItem('evenfall.goods.p', JSON.stringify({ spreaderId: 's0', mixId: 'm0' }));
    const { desk, kept } = await setUp({ spreader_id: 's', mix_id: 'm' });
    expect(desk.draft).toMatchObject({ spreaderId: 's', mixId: 'm' });
    expect(kept().revision).toBe(1);
    expect(localStorage.getItem('evenfall.goods.p')).toBeNull();
  });
});

describe('hand', () => {
  it('shows a quick plan for each frame of a drag and one change at its end', async () => {
    const { desk, hand, map, core } = await setUp();
    hand.setMode('corners');
    const moved = sampleOutline.map((ring) => ring.map(([lon, lat]) => [lon, lat + 0.0001] as [number, number]));
    for (let i = 0; i < 5; i++) map.play('dragging', { outline: moved, keepOff: [] });
    expect(hand.outline).toBe(moved);
    expect(desk.draft.outline).toEqual(sampleOutline);
    expect(core.asked.filter((a) => a.method === 'prepare').every((a) => (a.given[1] as { quick: boolean }).quick)).toBe(true);
    map.play('dragged', { outline: moved, keepOff: [], added: false });
    expect(desk.draft.outline).toBe(moved);
    desk.undo();
    expect(desk.draft.outline).toEqual(sampleOutline);
  });

  it('keeps the bearing of the passes while a corner moves', async () => {
    const { desk, live, map, core } = await setUp();
    const prepared = await core.prepare(desk.request('us')!);
    live.prepared = { ...prepared, sheet: { ...prepared.sheet, drive: { ...prepared.sheet.drive, bearing_deg: 30 } } };
    const along = () => (core.asked.findLast((a) => a.method === 'prepare')!.given[0] as PrepareRequest).options.along_deg;
    map.play('dragging', { outline: sampleOutline, keepOff: [] });
    await vi.waitFor(() => expect(along()).toBe(30));
    expect(desk.draft.options.along_deg).toBeUndefined();
    desk.change('Say the bearing', { options: { ...desk.draft.options, along_deg: 75 } });
    map.play('dragging', { outline: sampleOutline, keepOff: [] });
    await vi.waitFor(() => expect(along()).toBe(75));
  });

  it('draws a hole, and deletes it with its last triangle', async () => {
    const { desk, hand, map } = await setUp();
    hand.setMode('hole');
    map.play('sketched', { what: 'hole', line: [[0, 0], [0, 1], [1, 1], [0, 0]] });
    await vi.waitFor(() => expect(desk.draft.outline).toHaveLength(2));
    expect(map.mode).toBe('corners');
    map.play('corner', { of: 'outline', ring: 1, corner: 0 });
    hand.deleteCorner();
    expect(desk.draft.outline).toHaveLength(1);
  });

  it('deletes a hole or a keep-off line as a whole', async () => {
    const { desk, hand, map } = await setUp();
    const [first, second] = [[[0, 0], [0, 1], [1, 1], [0, 0]], [[2, 2], [2, 3], [3, 3], [2, 2]]] as [number, number][][];
    for (const line of [first!, second!]) map.play('sketched', { what: 'hole', line });
    map.play('corner', { of: 'outline', ring: 1, corner: 2 });
    hand.deleteHole(1);
    expect(desk.draft.outline).toEqual([sampleOutline[0], second]);
    expect(hand.corner).toBeUndefined();
    for (const name of ['Creek', 'Road']) desk.change('Draw', { keepOff: [...desk.draft.keepOff, { name, line: first!, distance_m: 5, for: 'both' }] });
    map.play('corner', { of: 'keep-off', ring: 0, corner: 1 });
    hand.deleteLine(0);
    expect(desk.draft.keepOff.map((k) => k.name)).toEqual(['Road']);
    desk.undo();
    expect(desk.draft.keepOff).toHaveLength(2);
  });

  it('moves the chosen corner by metres and keeps it chosen', async () => {
    const { desk, hand, map } = await setUp();
    hand.setMode('corners');
    map.play('corner', { of: 'outline', ring: 0, corner: 0 });
    hand.nudge(1, 0);
    expect(desk.draft.outline[0]![0]![0]).toBeCloseTo(sampleOutline[0]![0]![0]! + 1e-5, 12);
    expect(desk.draft.outline[0]!.at(-1)).toEqual(desk.draft.outline[0]![0]);
    expect(map.corner).toEqual({ of: 'outline', ring: 0, corner: 0 });
  });

  it('offers the pieces of a cut, and says why when there are none', async () => {
    const { hand, map, core } = await setUp();
    hand.setMode('cut');
    map.play('sketched', { what: 'cut', line: [[0, 0], [1, 1]] });
    await vi.waitFor(() => expect(hand.cut?.pieces).toHaveLength(2));
    hand.setMode('cut');
    expect(hand.cut).toBeUndefined();
    const { faultOf } = await import('../core/fake');
    core.answers.split = () => Promise.reject(faultOf('no_cut', 'the line does not cross the plot'));
    map.play('sketched', { what: 'cut', line: [[0, 0], [1, 1]] });
    await vi.waitFor(() => expect(hand.trouble).toContain('does not cross'));
  });

  it('keeps nothing off a line before its distance is given', async () => {
    const { desk, hand, map } = await setUp();
    hand.setMode('keep-off');
    map.play('sketched', { what: 'keep-off', line: [[0, 0], [1, 1]] });
    await vi.waitFor(() => expect(hand.keepOffLine).toHaveLength(2));
    expect(map.mode).toBe('asked');
    expect(desk.draft.keepOff).toEqual([]);
    hand.stayAway(7.62);
    expect(desk.draft.keepOff).toMatchObject([{ line: [[0, 0], [1, 1]], distance_m: 7.62, for: 'both' }]);
    expect([hand.keepOffLine, map.mode]).toEqual([undefined, 'corners']);
    desk.undo();
    expect(desk.draft.keepOff).toEqual([]);
  });
});
