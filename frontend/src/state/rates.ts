// The ways in which a rate of a mix can be given, and how a person writes each.
import type { Kind } from '../core/api';
import type * as mix from '../generated/mix';

interface RateForm {
  says: string;
  quantity?: Kind;
  what?: string;
  example?: string;
  shown: (v: number) => number;
  read: (v: number) => number;
}

const same = (v: number) => v;
const asPercent = { shown: (v: number) => Math.round(v * 1000) / 10, read: (v: number) => v / 100 };

/** In the order in which they are offered. */
export const rateKinds: Record<mix.Way, RateForm> = {
  mass_kg_per_m2: { says: 'weight on an area', quantity: 'mass_per_area', shown: same, read: same },
  pls_kg_per_m2: { says: 'pure live seed on an area', quantity: 'mass_per_area', shown: same, read: same },
  seeds_per_m2: { says: 'seeds on an area', quantity: 'count_per_area', what: 'seeds', shown: same, read: same },
  plants_per_m2: { says: 'plants that should stand', quantity: 'count_per_area', what: 'plants', shown: same, read: same },
  share_of_full: { says: 'percent of its full rate', example: '50', ...asPercent },
  n_kg_per_m2: { says: 'nitrogen on an area', quantity: 'mass_per_area', shown: same, read: same },
  p2o5_kg_per_m2: { says: 'phosphate on an area', quantity: 'mass_per_area', shown: same, read: same },
  k2o_kg_per_m2: { says: 'potash on an area', quantity: 'mass_per_area', shown: same, read: same },
  volume_m3_per_m2: { says: 'measure on an area', quantity: 'volume_per_area', shown: same, read: same },
  parts: { says: 'parts of the blend', example: '2', shown: same, read: same },
  plot_mass_kg: { says: 'weight for the plot', quantity: 'mass', shown: same, read: same },
  plot_volume_m3: { says: 'measure for the plot', quantity: 'volume', shown: same, read: same },
  bags: { says: 'bags for the plot', example: '1 1/2', shown: same, read: same },
};

/** What a fresh material begins with, in kg/m2, so that its rate is valid: 10 lb/ac, exact pound and acre. */
export const firstRate: mix.Rate = { mass_kg_per_m2: (10 * 0.45359237) / 4046.8564224 };

/** The figure of a rate that a way is kept in. */
export const figureOf = (way: mix.Way) => (way === 'pls_kg_per_m2' ? 'mass_kg_per_m2' : way);

/** The way in which a rate is given. */
export function kindOfRate(rate: mix.Rate): mix.Way {
  if (rate.mass_kg_per_m2 && rate.of === 'pure live seed') return 'pls_kg_per_m2';
  return (Object.keys(rateKinds) as mix.Way[]).find((way) => way !== 'pls_kg_per_m2' && (rate[figureOf(way)] ?? 0) > 0) ?? 'mass_kg_per_m2';
}

export function rateOf(rate: mix.Rate, way: mix.Way): number {
  return rate[figureOf(way)] ?? 0;
}

/** The rate with another figure, in the way in which it is given. */
export function withFigure(rate: mix.Rate, way: mix.Way, value: number): mix.Rate {
  return { ...rate, [figureOf(way)]: value };
}
