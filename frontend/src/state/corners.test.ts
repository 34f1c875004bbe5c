import { describe, expect, it } from 'vitest';
import type { Outline } from '../map/adapter';
import { addCorner, cornerAt, moveCorner, removeCorner, removeLineCorner } from './corners';

const outer: Outline[0] = [[0, 0], [4, 0], [4, 4], [0, 4], [0, 0]];
const hole: Outline[0] = [[1, 1], [1, 2], [2, 2], [1, 1]];

describe('corners', () => {
  it('moves the first corner and the one that repeats it', () => {
    expect(moveCorner([outer], 0, 0, [9, 9])[0]).toEqual([[9, 9], [4, 0], [4, 4], [0, 4], [9, 9]]);
  });

  it('adds a corner after the last one', () => {
    expect(addCorner([outer], 0, 3, [0, 2])[0]).toEqual([[0, 0], [4, 0], [4, 4], [0, 4], [0, 2], [0, 0]]);
  });

  it('takes a corner, then a hole, and never the plot', () => {
    expect(removeCorner([outer], 0, 1)![0]).toEqual([[0, 0], [4, 4], [0, 4], [0, 0]]);
    expect(removeCorner([outer, hole], 1, 0)).toEqual([outer]);
    expect(removeCorner([hole], 0, 0)).toBeUndefined();
    expect(removeLineCorner([[0, 0], [1, 1]], 0)).toBeUndefined();
  });

  it('finds corners of the outline and of lines', () => {
    expect(cornerAt([outer, hole], [], { of: 'outline', ring: 1, corner: 2 })).toEqual([2, 2]);
    expect(cornerAt([outer], [[[7, 7], [8, 8]]], { of: 'keep-off', ring: 0, corner: 1 })).toEqual([8, 8]);
  });
});
