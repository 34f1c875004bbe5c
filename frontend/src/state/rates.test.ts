import { describe, expect, it } from 'vitest';
import { kindOfRate, rateKinds, rateOf, withFigure } from './rates';

describe('rates', () => {
  it('finds the figure that is given', () => {
    expect(kindOfRate({ seeds_per_m2: 30, drilled: true })).toBe('seeds_per_m2');
    expect(kindOfRate({ share_of_full: 0.5 })).toBe('share_of_full');
    expect(kindOfRate({})).toBe('mass_kg_per_m2');
    expect(rateOf({ bags: 2 }, 'bags')).toBe(2);
    expect(kindOfRate({ mass_kg_per_m2: 0.01, of: 'pure live seed' })).toBe('pls_kg_per_m2');
    expect(withFigure({ mass_kg_per_m2: 0.01, of: 'pure live seed' }, 'pls_kg_per_m2', 0.02)).toEqual({ mass_kg_per_m2: 0.02, of: 'pure live seed' });
  });
  it('shows shares as percent and reads them back', () => {
    const share = rateKinds.share_of_full;
    expect(share.shown(0.255)).toBe(25.5);
    expect(share.read(25.5)).toBeCloseTo(0.255);
  });
});
