import { describe, expect, it } from 'vitest';
import { memoryFetch } from '../bench/memory';
import { sampleOutline } from '../core/fake';
import { Book } from '../state/book.svelte';
import { Desk } from '../state/desk.svelte';
import { Server, type Fetch } from '../state/server';
import { keepSheet } from './keepSheet';

const stamp = (id: string) => ({ id, revision: 1, created_at: '', updated_at: '' });

describe('keeping a sheet', () => {
  it('sends it with what it was made from, under an id of its own', async () => {
    const program = memoryFetch({
      properties: [], surveys: [], sheets: [],
      plots: [Object.assign(stamp('p'), { property_id: 'l', name: 'Strip', spreader_id: 'a', mix_id: 'b', driver: { date: '2026-05-01', habit: true }, outline: { type: 'Polygon', coordinates: sampleOutline } })],
      spreaders: [Object.assign(stamp('a'), { name: 'Hopper', document: { name: 'Hopper', patterns: { usual: { shape: 'flat', throw_m: 5 } } } })],
      mixes: [Object.assign(stamp('b'), { name: 'Oats', document: { name: 'Oats', items: [] } })],
    });
    const sent: { url: string; headers: unknown; body: Record<string, unknown> }[] = [];
    const heard: Fetch = (url, init) => {
      if (init?.method) sent.push({ url, headers: init.headers, body: JSON.parse(String(init.body)) as Record<string, unknown> });
      return program(url, init);
    };
    const book = new Book(new Server(heard));
    await book.load();
    const desk = new Desk(book, 'p');
    await desk.open();
    const kept = await keepSheet(desk, 'metric');
    expect(sent).toHaveLength(1);
    expect(sent[0]!.url).toBe(`/api/v1/sheets/${kept.id}`);
    expect(sent[0]!.headers).toMatchObject({ 'If-None-Match': '*' });
    expect(sent[0]!.body).toMatchObject({
      plot_id: 'p', spreader_id: 'a', mix_id: 'b', date: '2026-05-01',
      inputs: { plot: { name: 'Strip' }, spreader: { name: 'Hopper' }, mix: { name: 'Oats' }, options: { habit: true, units: 'metric' } },
    });
  });
});
