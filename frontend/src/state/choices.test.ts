import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Choices } from './choices.svelte';
import type { Remembered } from './remembered';

const photo = { url: 'data:image/png;base64,AAAA', southWest: [0, 0] as [number, number], northEast: [1, 1] as [number, number] };

class Memory implements Remembered {
  readonly pages = new Map<string, unknown>();
  async read<T>(key: string): Promise<T | undefined> {
    return this.pages.get(key) as T | undefined;
  }
  async write(key: string, value: unknown): Promise<void> {
    this.pages.set(key, value);
  }
}

beforeEach(() => localStorage.clear());
afterEach(() => vi.restoreAllMocks());

describe('choices', () => {
  it('keep the picture out of the store that is small, and find it again', async () => {
    const memory = new Memory();
    const choices = new Choices(memory);
    choices.set({ night: true });
    await choices.setPhoto(photo);
    expect(localStorage.getItem('evenfall.choices')).not.toContain('data:');
    const next = new Choices(memory);
    await vi.waitFor(() => expect(next.ground.photo).toEqual(photo));
    expect(next.night).toBe(true);
    await next.setPhoto(undefined);
    expect(memory.pages.get('photo')).toBeUndefined();
  });

  it('move a picture that earlier pages kept with the rest', async () => {
    localStorage.setItem('evenfall.choices', JSON.stringify({ night: true, photo }));
    const memory = new Memory();
    expect(new Choices(memory).ground.photo).toEqual(photo);
    await vi.waitFor(() => expect(memory.pages.get('photo')).toEqual(photo));
    expect(localStorage.getItem('evenfall.choices')).not.toContain('data:');
  });

  it('say so when the device keeps them not', async () => {
    const memory = new Memory();
    const choices = new Choices(memory);
    memory.write = () => Promise.reject(new DOMException('full', 'QuotaExceededError'));
    await choices.setPhoto(photo);
    expect([choices.unkept, choices.ground.photo]).toEqual([true, photo]);
    memory.write = async () => undefined;
    await choices.setPhoto(photo);
    expect(choices.unkept).toBe(false);
    vi.spyOn(Storage.prototype, 'setItem').mockImplementation(() => {
      throw new DOMException('full', 'QuotaExceededError');
    });
    choices.set({ night: true });
    expect(choices.unkept).toBe(true);
  });
});
