import { describe, expect, it } from 'vitest';
import { FakeCore, faultOf, sampleSheet } from '../core/fake';
import type { Sheet } from '../generated/agronomy';
import type { Spreader } from '../generated/spreader';
import { Telling } from './telling.svelte';

const machine = { name: 'x' } as Spreader;

/** Two fillings: oats with fertilizer, then clover. */
function sheet(): Sheet {
  const one = sampleSheet();
  const [setting, material] = [one.spreader.groups[0]!, one.materials[0]!];
  return {
    ...one,
    spreader: { ...one.spreader, groups: [{ ...setting, gate_mark: 6 }, { ...setting, group: 2, contents: 'clover' }] },
    drive: { ...one.drive, passes: [{}, {}, {}] as Sheet['drive']['passes'] },
    materials: [{ ...material, id: 'oats' }, material, { ...material, id: 'clover', group: 2 }],
  };
}

describe('telling of a job', () => {
  it('begins as the sheet says, and tells nothing yet', async () => {
    const core = new FakeCore();
    const telling = new Telling(core, sheet(), undefined, '2026-05-01');
    expect(telling.fillings.map((f) => [f.gate, f.passes, f.way])).toEqual([['6', '3', 'mass'], ['', '3', 'mass']]);
    await telling.look(machine, 'us');
    expect(core.times('lookBack')).toBe(0);
    expect(telling.done(undefined)).toEqual({ date: '2026-05-01' });
  });

  it('leaves a filling out until all of it is told', () => {
    const telling = new Telling(new FakeCore(), sheet(), undefined, '2026-05-01');
    telling.fillings[0]!.mass['oats'] = 10;
    expect(telling.told.groups).toEqual([]);
    telling.fillings[0]!.mass['19-19-19'] = 20;
    expect(telling.told.groups).toEqual([
      { group: 1, used: [{ id: 'oats', mass_kg: 10 }, { id: '19-19-19', mass_kg: 20 }], gate: 6, speed_mps: 2.68, passes: 3 },
    ]);
  });

  it('takes bags, what is left, and hoppers left', () => {
    const telling = new Telling(new FakeCore(), sheet(), undefined, '2026-05-01');
    const f = telling.fillings[1]!;
    Object.assign(f, { way: 'bags', bags: { clover: '1 1/2' }, passes: '2', gate: '' });
    expect(telling.told.groups).toEqual([{ group: 2, used: [{ id: 'clover', bags: 1.5 }], speed_mps: 2.68, passes: 2 }]);
    Object.assign(f, { way: 'left', left: 0 });
    expect(telling.told.groups[0]).toMatchObject({ group: 2, left_kg: 0 });
    Object.assign(f, { way: 'hoppers', hoppers: '1/4' });
    expect(telling.told.groups[0]).toMatchObject({ group: 2, left_hoppers: 0.25 });
    f.hoppers = 'half';
    expect(telling.told.groups).toEqual([]);
    expect(telling.error(f, 'left_hoppers')).toMatch(/number/);
  });

  it('puts what the core finds of one material beside that one alone', async () => {
    const core = new FakeCore();
    const telling = new Telling(core, sheet(), undefined, '2026-05-01');
    const f = telling.fillings[0]!;
    Object.assign(f, { mass: { oats: 10, '19-19-19': 1e6 } });
    core.answers.lookBack = async () => Promise.reject(faultOf('used', 'too much', { field: 'groups[0].used[1]' }));
    await telling.look(machine, 'us');
    expect(telling.error(f, 'used', 'oats')).toBeUndefined();
    expect(telling.error(f, 'used', '19-19-19')).toBe('Too much');
    Object.assign(f, { way: 'bags', bags: { oats: 'some', '19-19-19': '1' } });
    expect(telling.error(f, 'used', 'oats')).toMatch(/number of bags/);
  });

  it('puts what the core finds beside the entry of the right filling', async () => {
    const core = new FakeCore();
    const telling = new Telling(core, sheet(), undefined, '2026-05-01');
    telling.fillings[1]!.mass['clover'] = 1e6;
    core.answers.lookBack = async () => Promise.reject(faultOf('used', 'too much', { field: 'groups[0].used' }));
    await telling.look(machine, 'us');
    expect(telling.error(telling.fillings[0]!, 'used')).toBeUndefined();
    expect(telling.error(telling.fillings[1]!, 'used')).toBe('Too much');
    expect(telling.job).toBeUndefined();
    delete core.answers.lookBack;
    telling.fillings[1]!.mass['clover'] = 2;
    await telling.look(machine, 'us');
    expect(telling.error(telling.fillings[1]!, 'used')).toBeUndefined();
    expect(telling.job?.lessons).toHaveLength(1);
  });

  it('shows the newest answer only', async () => {
    const core = new FakeCore();
    const telling = new Telling(core, sheet(), undefined, '2026-05-01');
    telling.fillings[1]!.mass['clover'] = 1;
    let first: () => void = () => {};
    core.answers.lookBack = () => new Promise((done) => (first = () => done({ materials: [], lessons: [] })));
    const slow = telling.look(machine, 'us');
    delete core.answers.lookBack;
    await telling.look(machine, 'us');
    first();
    await slow;
    expect(telling.job?.lessons).toHaveLength(1);
  });

  it('takes up what was told before, and keeps what it does not show', async () => {
    const core = new FakeCore();
    const before = { date: '2026-04-02', note: 'windy', used: [{ id: 'clover', mass_kg: 3 }] };
    const telling = new Telling(core, sheet(), before, '2026-05-01');
    expect(telling.told.groups).toMatchObject([{ group: 2, used: [{ id: 'clover', mass_kg: 3 }] }]);
    core.answers.lookBack = async () => ({ materials: [{ id: 'clover', used_kg: 3 }] as never, lessons: [] });
    await telling.look(machine, 'us');
    const counts = [{ date: '2026-06-01', what: 'plants', found: [9], sample_m2: 0.5 }];
    expect(telling.done(counts)).toEqual({ ...before, counts });
  });
});
