import { describe, expect, it } from 'vitest';
import { whence } from './whence';

const sources = [
  { figure: 'materials[0].rate_kg_per_m2', says: 'oats at 80 lb/ac', kind: 'published' as const, cite: 'A leaflet' },
  { figure: 'materials[1]', says: 'typed', kind: 'stated' as const, overrides: '56 lb/bu' },
  { figure: 'materials[2].mass_kg', says: '13-13-13 at 1 bag on the plot', kind: 'stated' as const },
];
const byRate = 'The rate times the measured area, less what is kept off.';

describe('whence', () => {
  it('gives the rate first, then what follows from it', () => {
    expect(whence('materials[0].mass_kg', sources)).toEqual([
      { says: 'oats at 80 lb/ac', mark: 'A leaflet' },
      { says: byRate, mark: '' },
    ]);
  });

  it('lets an amount for the plot follow from no rate', () => {
    expect(whence('materials[2].mass_kg', sources)).toEqual([{ says: '13-13-13 at 1 bag on the plot', mark: 'As you entered it' }]);
  });

  it('takes no cost, no bags and no seeds for an amount', () => {
    for (const figure of ['cost', 'bags', 'seeds_per_m2', 'spread_kg']) {
      const says = whence(`materials[0].${figure}`, sources).map((a) => a.says);
      expect(says).toHaveLength(1);
      expect(says).not.toContain(byRate);
    }
    expect(whence('materials[0].cost', [])[0]!.says).toMatch(/price of a bag that you entered/);
  });

  it('finds a source of the whole material and names what was replaced', () => {
    expect(whence('materials[1].volume_m3', sources)[0]!.mark).toBe('As you entered it, instead of 56 lb/bu');
  });

  it('does not take materials[1] for materials[10]', () => {
    expect(whence('materials[10].mass_kg', sources).map((a) => a.says)).toEqual([byRate]);
  });

  it('always answers', () => {
    expect(whence('nothing.known', [])).toHaveLength(1);
  });
});
