// The unit that a bare number in a field has.
import type { Kind, System } from '../core/api';

const units: Partial<Record<Kind, [us: string, metric: string]>> = {
  area: ['ac', 'm²'],
  length: ['ft', 'm'],
  mass: ['lb', 'kg'],
  volume: ['qt', 'L'],
  duration: ['s', 's'],
  speed: ['mph', 'km/h'],
  temperature: ['F', 'C'],
  mass_per_area: ['lb/ac', 'kg/ha'],
  volume_per_area: ['qt/ac', 'L/ha'],
  count_per_mass: ['seeds/lb', 'seeds/kg'],
  density: ['lb/bu', 'kg/L'],
  flow: ['lb/min', 'kg/min'],
};

export function bareUnit(kind: Kind, system: System): string | undefined {
  return units[kind]?.[system === 'us' ? 0 : 1];
}
