import { describe, expect, it } from 'vitest';
import { layTogether } from './merge';

const base = { name: 'Strip', note: '', keep_off: [], driver: { date: '2026-05-01', speed_mps: 2 }, outline: { type: 'Polygon', coordinates: [[[0, 0], [0, 1], [1, 1], [0, 0]]] } };

describe('two changes of one plot', () => {
  it('are both taken where they touch different fields', () => {
    const { mine, theirs, disputed } = layTogether(base, { ...base, name: 'Creek' }, { ...base, note: 'wet in spring' });
    expect(disputed).toBe(false);
    expect(mine).toEqual({ ...base, name: 'Creek', note: 'wet in spring' });
    expect(theirs).toEqual(mine);
  });

  it('are disputed only where both changed the same', () => {
    const { mine, theirs, disputed } = layTogether(base, { ...base, name: 'Ours', note: 'dry' }, { ...base, name: 'Theirs', driver: { ...base.driver, speed_mps: 3 } });
    expect(disputed).toBe(true);
    const both = { ...base, note: 'dry', driver: { ...base.driver, speed_mps: 3 } };
    expect([mine, theirs]).toEqual([{ ...both, name: 'Ours' }, { ...both, name: 'Theirs' }]);
  });

  it('are laid together within the driver’s wishes, and what one left out stays out', () => {
    const { mine, disputed } = layTogether(base, { ...base, driver: { date: '2026-05-01' } }, { ...base, driver: { ...base.driver, date: '2026-06-01' } });
    expect([mine.driver, disputed]).toEqual([{ date: '2026-06-01' }, false]);
  });

  it('are the same where both did the same, or the program only turned a ring', () => {
    const turned = { type: 'Polygon', coordinates: [[[1, 1], [0, 1], [0, 0], [1, 1]]] };
    const { mine, disputed } = layTogether(base, { ...base, name: 'Creek' }, { ...base, name: 'Creek', outline: turned, keep_off: undefined as unknown as [] });
    expect(disputed).toBe(false);
    expect(mine).toMatchObject({ name: 'Creek' });
  });

  it('leave a pattern whole', () => {
    const machine = { name: 'Rack', document: { name: 'Rack', hopper_kg: 40, patterns: { usual: { shape: 'flat', throw_m: 5 } } } };
    const change = (document: object) => ({ ...machine, document: { ...machine.document, ...document } });
    const laid = layTogether(machine, change({ patterns: { usual: { shape: 'bell', throw_m: 5 } } }), change({ hopper_kg: 50, patterns: { usual: { shape: 'flat', throw_m: 6 } } }));
    expect(laid.disputed).toBe(true);
    expect(laid.mine.document).toEqual({ name: 'Rack', hopper_kg: 50, patterns: { usual: { shape: 'bell', throw_m: 5 } } });
    expect(laid.theirs.document).toEqual({ name: 'Rack', hopper_kg: 50, patterns: { usual: { shape: 'flat', throw_m: 6 } } });
  });
});
