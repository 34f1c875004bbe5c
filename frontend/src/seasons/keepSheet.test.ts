import { describe, expect, it, vi } from 'vitest';
import type { Book } from '../state/book.svelte';
import { emptyDraft } from '../state/desk.svelte';
import { keepSheet } from './keepSheet';

describe('keeping a sheet', () => {
  it('asks for it as it stands, in the person’s units, and puts it in the book', async () => {
    const create = vi.fn(async () => ({ id: 's1' }));
    const addSheet = vi.fn(async () => {});
    const book = { server: { create }, addSheet } as unknown as Book;
    const draft = { ...emptyDraft, spreaderId: 'a', mixId: 'b', options: { date: '2026-05-01', habit: true } };
    const kept = await keepSheet(book, 'p', draft, 'metric');
    expect(create).toHaveBeenCalledWith('/sheets', {
      plot_id: 'p', spreader_id: 'a', mix_id: 'b', date: '2026-05-01', options: { date: '2026-05-01', habit: true, units: 'metric' },
    });
    expect(addSheet).toHaveBeenCalledWith(kept);
  });
});
