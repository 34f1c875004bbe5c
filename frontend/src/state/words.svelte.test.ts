import { describe, expect, it, vi } from 'vitest';
import { flushSync } from 'svelte';
import { faultOf } from '../core/fake';
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

  it('can be asked for again after the core failed', async () => {
    vi.useFakeTimers();
    try {
      let fails = true;
      const words = new Words({ format: async (items) => (fails ? Promise.reject(faultOf('core_stopped', 'out of memory')) : items.map(() => '1 ac')) });
      const shown: (string | undefined)[] = [];
      const stop = $effect.root(() => {
        $effect(() => void shown.push(words.say('us', 'area', 1)));
      });
      flushSync();
      await vi.advanceTimersByTimeAsync(0);
      fails = false;
      await vi.advanceTimersByTimeAsync(10_000);
      flushSync();
      expect(shown.at(-1)).toBe('1 ac');
      stop();
    } finally {
      vi.useRealTimers();
    }
  });
});
