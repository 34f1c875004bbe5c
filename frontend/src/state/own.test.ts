import { describe, expect, it } from 'vitest';
import type * as catalog from '../generated/catalog';
import type * as mix from '../generated/mix';
import { idsOf, ownOf } from './own';

const product = (id: string, name: string, kind: catalog.Class = 'fertilizer'): mix.Item => ({
  product: { id, name, class: kind, figures: [], mark: { kind: 'stated' } },
  rate: { mass_kg_per_m2: 0.02 },
});

describe('own entries', () => {
  it('are found in every mix, once, the first of an id', () => {
    const one: mix.Mix = { name: 'One', items: [product('own-a', 'first'), { material: 'oats', rate: { bags: 1 } }] };
    const two: mix.Mix = { name: 'Two', items: [product('own-a', 'second'), product('own-b', 'other'), product('own-lime', 'lime by its label', 'lime')] };
    const { crops, products } = ownOf([undefined, one, two]);
    expect(products?.map((p) => p.name)).toEqual(['first', 'other']);
    expect(crops).toEqual([]);
    expect(idsOf({ products: products! })).toEqual(['own-lime', 'own-a', 'own-b']);
  });
});
