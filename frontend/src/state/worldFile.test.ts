import { describe, expect, it } from 'vitest';
import { parseWorldFile } from './worldFile';

describe('world file', () => {
  it('gives the edges from the middle of the first pixel', () => {
    const box = parseWorldFile('0.001\n0\n0\n-0.001\n-95.0005\n44.0005\n', 100, 50)!;
    expect(box.west).toBeCloseTo(-95.001, 12);
    expect(box.north).toBeCloseTo(44.001, 12);
    expect(box.east).toBeCloseTo(-94.901, 12);
    expect(box.south).toBeCloseTo(43.951, 12);
  });
  it.each(['', '1 2 3', '0.001 0.1 0 -0.001 0 0', '1 0 0 -1 500000 4800000'])('refuses %j', (text) =>
    expect(parseWorldFile(text, 10, 10)).toBeUndefined(),
  );
});
