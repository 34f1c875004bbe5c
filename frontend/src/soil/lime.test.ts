import { describe, expect, it } from 'vitest';
import type { Mix } from '../generated/mix';
import { labelId, LimeForm, ownLime, withLime } from './lime.svelte';

describe('the form for lime', () => {
  it('asks nothing until the report and the lime are told', () => {
    const form = new LimeForm(undefined);
    form.product = 'ag-lime';
    expect(form.request(1000)).toBeUndefined();
    form.recommended = 0.4;
    expect(form.request(undefined)).toBeUndefined();
    expect(form.request(1000)).toEqual({ product: 'ag-lime', ask: { recommended_kg_per_m2: 0.4, area_m2: 1000 } });
  });

  it('says of what lime the rate is, and how deep it goes', () => {
    const form = new LimeForm(undefined);
    Object.assign(form, { product: 'ag-lime', recommended: 0.4, basis: 'enp', depth: 0.1, basisDepth: 0.15 });
    expect(form.request(1000)!.ask).toEqual({ recommended_kg_per_m2: 0.4, power: 1, depth_m: 0.1, basis_depth_m: 0.15, area_m2: 1000 });
    form.basis = 'power';
    expect(form.request(1000)).toBeUndefined();
    form.power = '90';
    expect(form.request(1000)!.ask.power).toBeCloseTo(0.9, 12);
    form.power = 'ninety';
    expect(form.error(form.power)).toMatch(/number/);
  });

  it('takes a buffer index, and keeps the rate that came of it', () => {
    const form = new LimeForm(undefined);
    Object.assign(form, { product: 'ag-lime', asks: 'buffer', buffer: '6.3', recommended: 9 });
    expect(form.request(1000)).toMatchObject({ buffer_index: 6.3, ask: { recommended_kg_per_m2: 0, power: 1 } });
    const kept = form.kept(0.39);
    expect(kept).toEqual({ recommended_kg_per_m2: 0.39, power: 1, area_m2: 0 });
    const later = new LimeForm(kept);
    later.product = 'ag-lime';
    expect(later.request(1000)!.ask).toMatchObject({ recommended_kg_per_m2: 0.39, power: 1 });
  });

  it('comes back from what was kept', () => {
    const form = new LimeForm({ recommended_kg_per_m2: 0.4, power: 0.855, depth_m: 0.1, area_m2: 0 });
    expect([form.recommended, form.basis, form.power, form.depth]).toEqual([0.4, 'power', '85.5', 0.1]);
  });

  it('makes a product of a label, in shares', () => {
    expect(ownLime({ pass_20: '95' }, undefined)).toBeUndefined();
    const own = ownLime({ cce: '92', pass_20: '95', pass_60: '70', pass_100: '50', moisture: '2 1/2' }, 18)!;
    expect(own.figures.map((f) => [f.figure, f.low, f.unit])).toEqual([
      ['cce', 0.92, '1'], ['pass_20', 0.95, '1'], ['pass_60', 0.7, '1'], ['pass_100', 0.5, '1'], ['moisture', 0.025, '1'], ['bag', 18, 'kg'],
    ]);
    const form = new LimeForm(undefined);
    Object.assign(form, { product: labelId, recommended: 0.4, label: { enp: '80' } });
    expect(form.request(1)!.own!.products).toHaveLength(1);
    expect(form.item(0.5)).toMatchObject({ product: { class: 'lime' }, rate: { mass_kg_per_m2: 0.5 } });
  });

  it('takes the place of the lime that a mix had', () => {
    const goods = { name: 'm', items: [{ material: 'oats', rate: {} }, { material: 'ag-lime', rate: {} }, { product: { class: 'lime' }, rate: {} }] } as unknown as Mix;
    const next = withLime(goods, { material: 'pelletized-lime', rate: { mass_kg_per_m2: 1 } }, ['ag-lime', 'pelletized-lime']);
    expect(next.items.map((i) => i.material)).toEqual(['oats', 'pelletized-lime']);
  });
});
