import { describe, expect, it } from 'vitest';
import { sameContent } from './shelves';

const plot = (own: object) => ({ id: 'p', revision: 1, created_at: '', updated_at: '', ...own });

describe('what two records say', () => {
  it('is the same where only what is empty was left out', () => {
    expect(sameContent(plot({ driver: { speed_mps: 0, date: '2026-04-30' } }), plot({ driver: { date: '2026-04-30' } }))).toBe(true);
  });
  it('differs where a soil test asks for nothing and where it says nothing', () => {
    const soil = (report: object) => plot({ driver: { soil: report } });
    expect(sameContent(soil({ n_kg_per_m2: 0.004, k2o_kg_per_m2: 0 }), soil({ n_kg_per_m2: 0.004 }))).toBe(false);
    expect(sameContent(soil({ n_kg_per_m2: 0, k2o_kg_per_m2: 0 }), soil({ k2o_kg_per_m2: 0, n_kg_per_m2: 0 }))).toBe(true);
  });
});
