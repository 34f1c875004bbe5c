import { describe, expect, it } from 'vitest';
import { compare } from './differences';

const machine = {
  name: 'Grey hopper',
  patterns: { usual: { shape: 'triangle', throw_m: 8 }, seed: { shape: 'triangle', throw_m: 6.5 } },
  catch_tests: [{ material: '13-13-13', gate: 3, mass_kg: 3.6, time_s: 30 }],
};
const differing = (a: object, b: object) => compare(a, b).filter((line) => line.differs);

describe('differences', () => {
  it('are none between equal documents, which have a line for all that they say', () => {
    const lines = compare(machine, structuredClone(machine));
    expect(lines.map((line) => line.what)).toEqual(['name', 'pattern', 'throw, edge to edge', 'seed, pattern', 'seed, throw, edge to edge', 'catch test 1']);
    expect(lines.filter((line) => line.differs)).toEqual([]);
  });

  it('name the figure and both values', () => {
    const theirs = { ...machine, patterns: { ...machine.patterns, usual: { shape: 'triangle', throw_m: 9 } } };
    expect(differing(machine, theirs)).toEqual([
      { what: 'throw, edge to edge', mine: [{ as: 'length', value: 8 }], theirs: [{ as: 'length', value: 9 }], differs: true },
    ]);
  });

  it('show what only one version has', () => {
    const theirs = { ...machine, catch_tests: [...machine.catch_tests, { material: 'oats', gate: 2, mass_kg: 1, course_m: 30 }], hopper_kg: 45 };
    expect(differing(machine, theirs)).toEqual([
      { what: 'catch test 2', mine: undefined, theirs: ['gate 2: ', { as: 'mass', value: 1 }, ' over ', { as: 'length', value: 30 }, ', oats'], differs: true },
      { what: 'the hopper may carry', mine: undefined, theirs: [{ as: 'mass', value: 45 }], differs: true },
    ]);
  });

  it('follow the materials of a mix by name, not by place', () => {
    const oats = { material: 'oats', rate: { seeds_per_m2: 300 }, tag: { purity: 0.98 } };
    const clover = { material: 'clover', rate: { mass_kg_per_m2: 0.001 }, bag_kg: 10 };
    expect(differing({ items: [oats, clover] }, { items: [clover, { ...oats, rate: { bags: 2 } }] })).toEqual([
      { what: 'oats', mine: [{ as: 'count_per_area', value: 300, what: 'seeds' }], theirs: ['2 bags for the plot'], differs: true },
    ]);
    expect(differing({ items: [oats] }, { items: [oats, clover] })).toEqual([
      { what: 'clover', mine: undefined, theirs: [{ as: 'mass_per_area', value: 0.001 }], differs: true }, // and no line for its bag
    ]);
  });

  it('say what differs in a product of one’s own', () => {
    const starter = (share: number) => ({ items: [{ product: { id: 'own-a', name: 'starter', figures: [{ figure: 'n', low: share, high: share, unit: '1' }] }, rate: { bags: 1 } }] });
    expect(differing(starter(0.06), starter(0.1))).toEqual([{ what: 'starter, product, n', mine: ['0.06 of its weight'], theirs: ['0.1 of its weight'], differs: true }]);
  });

  it('hide no field that is not known here', () => {
    expect(differing({ a: { later_thing: 1 } }, { a: { later_thing: 2 } })).toHaveLength(1);
    expect(differing({ list: [[1, 2], [3]] }, { list: [[1, 2], [4]] })).toHaveLength(1);
  });

  it('tell keep-off lines of one name apart, and see one that was moved', () => {
    const creek = (distance_m: number, ...corners: string[]) => ({ name: 'creek', distance_m, corners });
    const [near, far] = [creek(5, 'a', 'b'), creek(30, 'c', 'd')];
    expect(differing({ keep_off: [near, far] }, { keep_off: [{ ...near, distance_m: 30 }, far] })).toEqual([
      { what: 'keep-off line, creek 1, distance', mine: [{ as: 'length', value: 5 }], theirs: [{ as: 'length', value: 30 }], differs: true },
    ]);
    expect(differing({ keep_off: [near] }, { keep_off: [creek(5, 'a', 'e')] })).toEqual([
      { what: 'keep-off line, creek, corners', mine: ['a · b'], theirs: ['a · e'], differs: true },
    ]);
  });
});
