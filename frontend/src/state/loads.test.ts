import { describe, expect, it } from 'vitest';
import type { Load } from '../generated/mix';
import { alike, counted, passesSaid } from './loads';

const load = (number: number, mass_kg: number): Load => ({ number, group: 1, mass_kg, layers: 3, layer: [{ material: 'm', mass_kg: mass_kg / 3 }], from_m: 0, to_m: 1 });

describe('loads', () => {
  it('tells neighbours that are filled alike once', () => {
    expect(alike([load(1, 30), load(2, 30), load(3, 12)]).map((f) => f.numbers)).toEqual([[1, 2], [3]]);
    expect(alike([])).toEqual([]);
  });

  it.each([
    [[4], '4'],
    [[1, 2], '1 and 2'],
    [[1, 2, 3], '1 to 3'],
    [[1, 2, 5, 7, 8, 9], '1, 2, 5 and 7 to 9'],
  ])('counts %j as %s', (numbers, said) => expect(counted(numbers)).toBe(said));

  it.each([
    [[12], 'pass 12'],
    [[3, 3], 'pass 3'],
    [[2, 5], 'passes 2 and 5'],
    [[2, 3, 4, 5], 'passes 2 to 5'],
    [[2, 5, 8, 11], 'every 3rd pass from 2 to 11'],
    [[1, 3, 5, 7], 'every other pass from 1 to 7'],
    [[1, 12, 23, 34], 'every 11th pass from 1 to 34'],
    [[2, 3, 6, 7, 10], 'passes 2, 3, 6, 7 and 10'],
    [[2, 3, 6, 7, 10, 11, 14, 15, 18, 19, 22, 23], '12 passes, the first 2 and the last 23'],
  ])('runs out on %j, as %s', (passes, said) => expect(passesSaid(passes)).toBe(said));
});
