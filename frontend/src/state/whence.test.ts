import { describe, expect, it } from 'vitest';
import { whence } from './whence';

const sources = [
  { figure: 'materials[0].mass_kg', says: 'rate times area', kind: 'published' as const, cite: 'A leaflet' },
  { figure: 'materials[1]', says: 'typed', kind: 'stated' as const, overrides: '56 lb/bu' },
];

describe('whence', () => {
  it('gives the sheet’s own source first, then how the figure is made', () => {
    expect(whence('materials[0].mass_kg', sources)).toEqual([
      { says: 'rate times area', mark: 'A leaflet' },
      { says: 'The rate times the measured area.', mark: '' },
    ]);
  });

  it('finds a source of the whole material and names what was replaced', () => {
    expect(whence('materials[1].volume_m3', sources)[0]!.mark).toBe('As you entered it, instead of 56 lb/bu');
  });

  it('does not take materials[1] for materials[10]', () => {
    expect(whence('materials[10].mass_kg', sources).map((a) => a.says)).toEqual(['The rate times the measured area.']);
  });

  it('always answers', () => {
    expect(whence('nothing.known', [])).toHaveLength(1);
  });
});
