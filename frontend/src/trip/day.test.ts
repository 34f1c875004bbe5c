import { beforeEach, describe, expect, it } from 'vitest';
import { FakeCore, faultOf } from '../core/fake';
import { DayPlan } from './day.svelte';

const oats = { id: 'm1', name: 'Oats', document: { name: 'Oats', items: [] } };
const rye = { id: 'm2', name: 'Rye', document: { name: 'Rye', items: [] } };
const rack = { id: 's1', name: 'Rack', document: { name: 'Rack', patterns: {}, hopper_kg: 45 } };
const plots = [{ id: 'p1', name: 'Bench', area_m2: 1000 }, { id: 'p2', name: 'Hill', area_m2: 2000 }];

function planned(core = new FakeCore()): DayPlan {
  const day = new DayPlan(core);
  day.learn(plots, [oats, rye], [rack]);
  day.add({ plotId: 'p1', name: 'Bench', area_m2: 1000, mixId: 'm1' });
  day.add({ plotId: 'p2', name: 'Hill', area_m2: 2000, mixId: 'm2' });
  return day;
}

describe('a day with several plots', () => {
  beforeEach(() => localStorage.clear());

  it('asks in the order of driving, with a mix for each plot', () => {
    const day = planned();
    expect(day.request('us')).toEqual({
      plots: [{ name: 'Bench', area_m2: 1000, mix: oats.document }, { name: 'Hill', area_m2: 2000, mix: rye.document }], units: 'us',
    });
    day.move(day.stops[1]!.key, -1);
    expect(day.request('us')!.plots.map((p) => p.name)).toEqual(['Hill', 'Bench']);
    day.move(day.stops[0]!.key, -1); // the first cannot go earlier
    expect(day.stops.map((s) => s.name)).toEqual(['Hill', 'Bench']);
  });

  it('takes one mix for all, the hopper, and what may be carried', () => {
    const day = planned();
    day.set({ oneMix: true, mixId: 'm2', spreaderId: 's1', limit_kg: 300 });
    expect(day.request('metric')).toMatchObject({ plots: [{ mix: rye.document }, { mix: rye.document }], hopper: { mass_kg: 45 }, limit_kg: 300, units: 'metric' });
  });

  it('asks for nothing while a size or every mix is missing', async () => {
    const core = new FakeCore();
    const day = planned(core);
    day.add({ name: 'A neighbour', area_m2: undefined, mixId: '' });
    await day.work('us');
    expect(core.times('trip')).toBe(0);
    const last = day.stops.at(-1)!;
    day.change(last.key, { area_m2: 500 });
    expect(day.request('us')!.plots.at(-1)).toEqual({ name: 'A neighbour', area_m2: 500, mix: oats.document }); // the first mix
    day.remove(last.key);
    expect(day.stops).toHaveLength(2);
  });

  it('is there again without the notebook, and takes up what it says later', async () => {
    planned().set({ spreaderId: 's1' });
    const later = new DayPlan(new FakeCore());
    later.learn([], [], []); // out of reach: nothing could be read
    expect(later.request('us')).toMatchObject({ plots: [{ name: 'Bench', mix: oats.document }, { name: 'Hill' }], hopper: { mass_kg: 45 } });
    await later.work('us');
    expect(later.plan?.stops.map((s) => s.plot)).toEqual(['Bench', 'Hill']);
    later.learn([{ id: 'p1', name: 'Owl Bench', area_m2: 1100 }], [oats, rye], [rack]);
    expect(later.stops[0]).toMatchObject({ name: 'Owl Bench', area_m2: 1100 });
  });

  it('gives every new stop a number of its own', () => {
    const day = planned();
    day.remove(day.stops[0]!.key);
    day.add({ name: 'Third', area_m2: 1, mixId: '' });
    expect(new Set(day.stops.map((s) => s.key)).size).toBe(2);
  });

  it('puts a fault beside the stop, the limit, or the day', async () => {
    const core = new FakeCore();
    const day = planned(core);
    core.answers.trip = async () => Promise.reject(faultOf('amount', 'it comes to nothing', { feature: 2, field: 'items[0].rate' }));
    await day.work('us');
    expect([day.faultAt(day.stops[0]!), day.faultAt(day.stops[1]!), day.trouble]).toEqual([undefined, 'It comes to nothing', undefined]);
    core.answers.trip = async () => Promise.reject(faultOf('limit', 'a bag is too heavy', { field: 'limit_kg' }));
    await day.work('us');
    expect([day.limitFault, day.trouble]).toEqual(['A bag is too heavy', undefined]);
    core.answers.trip = async () => Promise.reject(faultOf('other', 'something else'));
    await day.work('us');
    expect([day.limitFault, day.trouble, day.plan]).toEqual([undefined, 'Something else', undefined]);
  });

  it('survives a spoilt store', () => {
    localStorage.setItem('evenfall.day', '{');
    expect(new DayPlan(new FakeCore()).stops).toEqual([]);
  });
});
