import { describe, expect, it } from 'vitest';
import type * as record from '../generated/record';
import type { Book } from './book.svelte';
import { partName } from './draft';
import { Parts } from './parts.svelte';
import { Problem } from './server';

const part = (id: string) => ({ id, revision: 1, created_at: '', updated_at: '', property_id: 'land', name: `North, ${id}` }) as record.Plot;

/** A book of plots whose program takes and gives what it is asked to, or refuses. */
function bookOf(plots: Map<string, record.Plot>, refuses = false) {
  const outbox = {
    remove: async (_path: string, { id }: record.Plot) => {
      if (refuses) throw new Problem(409, 'in_use', 'a sheet belongs to it', 'delete that first');
      plots.delete(id);
    },
    keep: (_path: string, one: record.Plot, wish: (kept: record.Plot) => record.Plot) => void plots.set(one.id, wish(one)),
  };
  return { outbox, plot: (id: string) => plots.get(id) } as unknown as Book;
}

describe('parts', () => {
  it('go with undo and come again with redo, in the order they were asked for', async () => {
    const plots = new Map([['a', part('a')]]);
    const parts = new Parts(bookOf(plots));
    await parts.follow([], [part('a')]); // as the cut made it
    expect(plots.get('a')!.revision).toBe(1);
    await parts.follow([part('a')], []);
    expect([...plots]).toEqual([]);
    void parts.follow([], [part('a')]);
    void parts.follow([part('a')], []);
    await parts.follow([], [part('a')]);
    expect(plots.get('a')).toMatchObject({ id: 'a', revision: 0, name: 'North, a' });
  });

  it('are offered where they cannot be taken away', async () => {
    const plots = new Map([['a', part('a')]]);
    const parts = new Parts(bookOf(plots, true));
    await parts.follow([part('a')], []);
    expect(parts.left.map(({ part: { id }, problem }) => [id, problem.sentence])).toEqual([['a', 'a sheet belongs to it: delete that first']]);
    await parts.follow([], [part('a')]);
    expect(parts.left).toEqual([]);
  });

  it('have names that no plot has', () => {
    expect(partName('North', ['North'])).toBe('North, part 2');
    expect(partName('North', ['North', 'North, part 2', 'North, part 4'])).toBe('North, part 3');
    expect(partName('North, part 2', ['North', 'North, part 2'])).toBe('North, part 3');
  });
});
