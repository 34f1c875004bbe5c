// What a report says about lime and which lime is at hand, as the form holds
// it. The core scales one by the quality of the other.
import type { LimeRequest } from '../core/api';
import type * as catalog from '../generated/catalog';
import type * as mix from '../generated/mix';
import type * as soil from '../generated/soil';
import { numberOf } from '../state/numberOf';

/** What a report gives: a rate, or only a buffer index. */
export type Asks = 'rate' | 'buffer';
/** Of what lime its rate is: not said, effective pounds, or a stated power. */
export type Basis = 'silent' | 'enp' | 'power';

/** The lime of a label that is not in the catalog. */
export const labelId = 'own-lime';

/** What a label may print, in percent, by the catalog's names. */
export const labelFigures = [
  { name: 'enp', says: 'Effective neutralizing power, %', hint: 'where it is printed, the rest may stay empty' },
  { name: 'cce', says: 'Calcium carbonate equivalent, %', hint: 'CCE' },
  { name: 'pass_20', says: 'Passes a 20-mesh sieve, %', hint: '' },
  { name: 'pass_60', says: 'Passes a 60-mesh sieve, %', hint: '' },
  { name: 'pass_100', says: 'Passes a 100-mesh sieve, %', hint: '' },
  { name: 'moisture', says: 'Moisture, %', hint: '' },
] as const satisfies { name: catalog.Name; says: string; hint: string }[];

export class LimeForm {
  asks = $state<Asks>('rate');
  recommended = $state<number | undefined>();
  buffer = $state('');
  basis = $state<Basis>('silent');
  power = $state(''); // percent
  basisDepth = $state<number | undefined>();
  depth = $state<number | undefined>();
  product = $state('');
  label = $state<Record<string, string>>({});
  bag = $state<number | undefined>(); // kilograms; undefined for loose lime

  constructor(kept: soil.LimeAsk | undefined) {
    if (!kept) return;
    this.recommended = kept.recommended_kg_per_m2;
    this.basis = !kept.power ? 'silent' : kept.power === 1 ? 'enp' : 'power';
    if (this.basis === 'power') this.power = String(Math.round(kept.power! * 1000) / 10);
    this.basisDepth = kept.basis_depth_m;
    this.depth = kept.depth_m;
  }

  /** The question for the core; undefined while the report or the lime is missing. */
  request(area_m2: number | undefined): LimeRequest | undefined {
    if (!area_m2 || !this.product || !this.told) return undefined;
    const own = this.product === labelId ? ownLime(this.label, this.bag) : undefined;
    if (this.product === labelId && !own) return undefined;
    const index = numberOf(this.buffer);
    return {
      product: this.product,
      ask: { ...this.ask, area_m2 },
      ...(this.asks === 'buffer' && index !== undefined ? { buffer_index: index } : {}),
      ...(own ? { own: { products: [own] } } : {}),
    };
  }

  /** Whether the report is told, as far as the form can know. */
  private get told(): boolean {
    if (this.asks === 'buffer') return numberOf(this.buffer) !== undefined;
    return (this.recommended ?? 0) > 0 && (this.basis !== 'power' || (numberOf(this.power) ?? 0) > 0);
  }

  /** The recommendation as a sheet keeps it; the sheet knows the area. */
  private get ask(): soil.LimeAsk {
    const power = this.asks === 'buffer' || this.basis === 'enp' ? 1 : this.basis === 'power' ? (numberOf(this.power) ?? 0) / 100 : 0;
    return {
      recommended_kg_per_m2: this.asks === 'buffer' ? 0 : (this.recommended ?? 0),
      ...(power ? { power } : {}),
      ...(this.basisDepth ? { basis_depth_m: this.basisDepth } : {}),
      ...(this.depth ? { depth_m: this.depth } : {}),
      area_m2: 0,
    };
  }

  /** To keep with the plot, with the rate that the core made of a buffer index. */
  kept(recommended_kg_per_m2: number): soil.LimeAsk {
    return { ...this.ask, recommended_kg_per_m2 };
  }

  /** The material for a mix. */
  item(rate_kg_per_m2: number): mix.Item {
    const own = this.product === labelId ? ownLime(this.label, this.bag) : undefined;
    return { ...(own ? { product: own } : { material: this.product }), rate: { mass_kg_per_m2: rate_kg_per_m2 } };
  }

  /** What is wrong in a number's entry. */
  error(text: string): string | undefined {
    return text.trim() && numberOf(text) === undefined ? 'Write a number, such as 85' : undefined;
  }
}

/** A product of what a label prints; undefined while it prints no power and no CCE. */
export function ownLime(label: Record<string, string>, bagKg: number | undefined): catalog.Product | undefined {
  const mark = { kind: 'stated' } as const;
  const one = (figure: catalog.Name, value: number, unit: string): catalog.Figure => ({ figure, low: value, high: value, unit, mark });
  const figures: catalog.Figure[] = [];
  for (const { name } of labelFigures) {
    const percent = numberOf(label[name] ?? '');
    if (percent !== undefined) figures.push(one(name, percent / 100, '1'));
  }
  if (!figures.some((f) => f.figure === 'enp' || f.figure === 'cce')) return undefined;
  if (bagKg) figures.push(one('bag', bagKg, 'kg'));
  return { id: labelId, name: 'lime by its label', class: 'lime', figures, mark };
}

/** The mix with this lime in place of any that it had. */
export function withLime(goods: mix.Mix, item: mix.Item, limes: readonly string[]): mix.Mix {
  const isLime = (other: mix.Item) => other.product?.class === 'lime' || limes.includes(other.material ?? '');
  return { ...goods, items: [...goods.items.filter((other) => !isLime(other)), item] };
}
