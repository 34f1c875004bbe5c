import { describe, expect, it } from 'vitest';
import { idAt, newId } from './id';

describe('id', () => {
  it('carries the time, the version and the variant', () => {
    // The worked example of RFC 9562, appendix A.6: 0x017F22E279B0 ms, random 0xCC3 and 0x18C4DC0C0C07398F.
    const chance = [0, 0, 0, 0, 0, 0, 0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f];
    expect(idAt(0x017f22e279b0, (into) => (into.set(chance), into))).toBe('017f22e2-79b0-7cc3-98c4-dc0c0c07398f');
  });

  it('sorts by age and does not repeat', () => {
    const ids = Array.from({ length: 500 }, (_, i) => idAt(1_700_000_000_000 + i));
    expect([...ids].sort()).toEqual(ids);
    expect(new Set(Array.from({ length: 500 }, () => idAt(1))).size).toBe(500);
  });

  it('sorts by age within a millisecond, and when the clock is set back', () => {
    let now = Date.now() + 60_000;
    const ids = Array.from({ length: 50 }, (_, i) => newId(() => (i === 25 ? (now -= 1000) : now)));
    expect([...ids].sort()).toEqual(ids);
    expect(new Set(ids).size).toBe(50);
  });
});
