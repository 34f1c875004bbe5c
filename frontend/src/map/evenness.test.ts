import { describe, expect, it } from 'vitest';
import { paint, stepOf } from './evenness';

const colours = ['#100000', '#200000', '#300000', '#400000', '#500000', '#600000', '#700000'];

describe('evenness picture', () => {
  it('puts the target in the middle step and treats both sides alike', () => {
    expect([0, 0.6, 0.8, 1, 1.2, 1.4, 3].map(stepOf)).toEqual([0, 1, 2, 3, 4, 5, 6]);
  });

  it('draws the southernmost row last and leaves bare ground clear', () => {
    const pixels = paint(
      { cols: 2, rows: 2, ratio: new Float32Array([1, NaN, 0, -1]), southWest: [0, 0], northEast: [1, 1] },
      colours,
    );
    expect([...pixels.slice(0, 4)]).toEqual([0x10, 0, 0, 255]); // north-west: thin
    expect(pixels[7]).toBe(0); // north-east: off the plot
    expect([...pixels.slice(8, 12)]).toEqual([0x40, 0, 0, 255]); // south-west: even
    expect(pixels[15]).toBe(0);
  });
});
