import { describe, expect, it } from 'vitest';
import type { Prepared } from '../core/api';
import type { Outline } from '../map/adapter';
import type { Draft } from './draft';
import { driveOf, pictureOf, underHand, wrongOf, type Shown } from './picture';

const prepared = {
  passes: [{ order: 1, kind: 'straight', closed: false, direction: 'north', line: Float64Array.of(0, 0, 0, 1), lineM: Float64Array.of(0, 0, 0, 1) }],
  travel: [Float64Array.of(0, 1), Float64Array.of(0, 1, 1, 1)],
  start: [0, 0],
  refills: [{ at: [1, 1], afterLoad: 1, pass: 1 }],
} as unknown as Prepared;

describe('driveOf', () => {
  it('numbers the load that a refill stop is for and leaves out ways of one point', () => {
    const drive = driveOf({ ...prepared, quick: false });
    expect(drive.refills).toEqual([{ at: [1, 1], text: 'load 2' }]);
    expect(drive.travel).toHaveLength(1);
  });

  it('is fleeting while a corner is dragged', () => {
    expect(driveOf({ ...prepared, quick: true }).fleeting).toBe(true);
    expect(driveOf({ ...prepared, quick: false }).fleeting).toBe(false);
  });
});

describe('underHand', () => {
  it('leaves nothing of the drive that a corner could lie under, but where one says where to come in', () => {
    const drive = driveOf({ ...prepared, quick: false });
    expect(underHand(drive, false)).toMatchObject({ passes: drive.passes, start: undefined, refills: [], fleeting: true });
    expect(underHand(drive, true).start).toEqual([0, 0]);
  });
});

describe('pictureOf', () => {
  const square: Outline = [[[0, 0], [1, 0], [1, 1], [0, 0]]];
  const edge = { ring: 0, corner: 0, length_m: 1, text: '3 ft', at: [0.5, 0] };
  const shown = (edges: number, editing: boolean) =>
    pictureOf({
      draft: { keepOff: [{ name: 'Creek', line: [[0, 0], [1, 0]], distance_m: 5, for: 'both' }] } as unknown as Draft,
      outline: square, keepOff: [[[0, 0], [2, 0]]], neighbours: [], drive: undefined, evenness: undefined,
      measured: { edges: Array.from({ length: edges }, () => edge) } as unknown as Shown['measured'],
      wrong: undefined, cut: undefined, asked: undefined, editing, distances: ['16 ft'],
    });

  it('names the lengths of edges while drawing, unless they would cover the plot', () => {
    expect(shown(4, true).edges).toHaveLength(4);
    expect(shown(4, false).edges).toHaveLength(0);
    expect(shown(40, true).edges).toHaveLength(0);
  });

  it('shows a keep-off line where it is held', () => {
    expect(shown(4, true).keepOff).toEqual([{ name: 'Creek', line: [[0, 0], [2, 0]], label: 'Creek, 16 ft' }]);
  });
});

describe('wrongOf', () => {
  const square: Outline = [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]];

  it('puts the corners that a sentence names where they are', () => {
    expect(wrongOf({ kind: 'invalid', code: 'self_crossing', what: 'they meet', where: { ring: 1, corners: [2, 4], lon_lat: [0.5, 0.5] } }, square)).toEqual({
      at: [0.5, 0.5],
      corners: [{ at: [1, 1], text: '2' }, { at: [0, 1], text: '4' }],
    });
  });

  it('marks nothing for a fault that lies nowhere on the ground', () => {
    expect(wrongOf({ kind: 'invalid', code: 'speed', what: 'too slow', where: { field: 'speed_mps' } }, square)).toBeUndefined();
    expect(wrongOf(undefined, square)).toBeUndefined();
  });
});
