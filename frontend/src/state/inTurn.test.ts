import { describe, expect, it } from 'vitest';
import { inTurn } from './inTurn';

describe('in turn', () => {
  it('acts once, with locks, without, and where they are denied', async () => {
    const asked: string[] = [];
    const working = { request: (name: string, act: () => Promise<void>) => (asked.push(name), act()) } as unknown as LockManager;
    const denied = { request: () => Promise.reject(new DOMException('denied', 'SecurityError')) } as unknown as LockManager;
    for (const locks of [working, denied, undefined]) {
      let acts = 0;
      await inTurn('one', () => Promise.resolve(void acts++), locks);
      expect(acts).toBe(1);
    }
    expect(asked).toEqual(['evenfall.one']);
  });

  it('hands on what went wrong, and does not act again', async () => {
    let acts = 0;
    const working = { request: (_: string, act: () => Promise<void>) => act() } as unknown as LockManager;
    await expect(inTurn('one', () => (acts++, Promise.reject(new Error('wrong'))), working)).rejects.toThrow('wrong');
    expect(acts).toBe(1);
  });
});
