import { describe, expect, it, vi } from 'vitest';
import { Words } from './words.svelte';

describe('words', () => {
  it('asks once for a batch and remembers the answers', async () => {
    const format = vi.fn(async (items: { value: number | string }[], system: string) =>
      items.map((item) => `${item.value} ${system}`),
    );
    const words = new Words({ format });
    expect(words.say('us', 'area', 1000)).toBeUndefined();
    expect(words.say('us', 'length', 5)).toBeUndefined();
    expect(words.say('us', 'area', 1000)).toBeUndefined();
    await vi.waitFor(() => expect(words.say('us', 'area', 1000)).toBe('1000 us'));
    expect(format).toHaveBeenCalledTimes(1);
    expect(format.mock.calls[0]![0]).toHaveLength(2);
  });

  it('keeps the systems of units apart', async () => {
    const words = new Words({ format: async (items, system) => items.map(() => system) });
    words.say('us', 'area', 1);
    words.say('metric', 'area', 1);
    await vi.waitFor(() => expect(words.say('metric', 'area', 1)).toBe('metric'));
    expect(words.say('us', 'area', 1)).toBe('us');
  });
});
