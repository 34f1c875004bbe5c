import { describe, expect, it } from 'vitest';
import type { Load } from '../generated/mix';
import { alike } from './loads';

const load = (number: number, mass_kg: number): Load => ({ number, group: 1, mass_kg, layers: 3, layer: [{ material: 'm', mass_kg: mass_kg / 3 }], from_m: 0, to_m: 1 });

describe('loads', () => {
  it('tells neighbours that are filled alike once', () => {
    expect(alike([load(1, 30), load(2, 30), load(3, 12)]).map((f) => f.numbers)).toEqual([[1, 2], [3]]);
    expect(alike([])).toEqual([]);
  });
});
