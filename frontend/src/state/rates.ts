// The ways in which a rate of a mix can be given, and how a person writes each.
import type { Kind } from '../core/api';
import type * as mix from '../generated/mix';

export type RateKind =
  | 'mass_kg_per_m2'
  | 'seeds_per_m2'
  | 'n_kg_per_m2'
  | 'p2o5_kg_per_m2'
  | 'k2o_kg_per_m2'
  | 'volume_m3_per_m2'
  | 'plot_mass_kg'
  | 'plot_volume_m3'
  | 'bags'
  | 'share_of_full'
  | 'parts'
  | 'plants_per_m2';

interface RateForm {
  says: string;
  quantity?: Kind;
  what?: string;
  first: number; // what a fresh rate of this kind begins with, so that it is valid
  shown: (v: number) => number;
  read: (v: number) => number;
}

const same = (v: number) => v;
const lbPerAcre = 0.45359237 / 4046.8564224; // kg/m2; exact pound and acre

export const rateKinds: Record<RateKind, RateForm> = {
  mass_kg_per_m2: { says: 'weight on an area', quantity: 'mass_per_area', first: 10 * lbPerAcre, shown: same, read: same },
  n_kg_per_m2: { says: 'nitrogen on an area', quantity: 'mass_per_area', first: 10 * lbPerAcre, shown: same, read: same },
  p2o5_kg_per_m2: { says: 'phosphate on an area', quantity: 'mass_per_area', first: 10 * lbPerAcre, shown: same, read: same },
  k2o_kg_per_m2: { says: 'potash on an area', quantity: 'mass_per_area', first: 10 * lbPerAcre, shown: same, read: same },
  seeds_per_m2: { says: 'seeds on an area', quantity: 'count_per_area', what: 'seeds', first: 10, shown: same, read: same },
  plants_per_m2: { says: 'plants that should stand', quantity: 'count_per_area', what: 'plants', first: 10, shown: same, read: same },
  volume_m3_per_m2: { says: 'measure on an area', quantity: 'volume_per_area', first: 1e-6, shown: same, read: same },
  plot_mass_kg: { says: 'weight for the plot', quantity: 'mass', first: 1, shown: same, read: same },
  plot_volume_m3: { says: 'measure for the plot', quantity: 'volume', first: 1e-3, shown: same, read: same },
  bags: { says: 'bags for the plot', first: 1, shown: same, read: same },
  share_of_full: { says: 'percent of its full rate', first: 0.5, shown: (v) => Math.round(v * 1000) / 10, read: (v) => v / 100 },
  parts: { says: 'parts of the blend', first: 1, shown: same, read: same },
};

/** The figure of a rate that is given. */
export function kindOfRate(rate: mix.Rate): RateKind {
  const kinds = Object.keys(rateKinds) as RateKind[];
  return kinds.find((kind) => (rate[kind] ?? 0) > 0) ?? 'mass_kg_per_m2';
}

export function rateOf(rate: mix.Rate, kind: RateKind): number {
  return rate[kind] ?? 0;
}
