// Products and crops that the catalog lacks. Each lies with the items of the
// mixes that it is used in, so that a mix is whole wherever it goes.
import type * as catalog from '../generated/catalog';
import type * as mix from '../generated/mix';
import { labelId } from '../soil/lime.svelte';

/** Every entry of the mixes' own, once; of one id the first. Lime of a label is
    left out: it is entered anew with its figures. */
export function ownOf(mixes: readonly (mix.Mix | undefined)[]): catalog.Own {
  const items = mixes.flatMap((m) => m?.items ?? []);
  return { crops: once(items.map((i) => i.crop)), products: once(items.map((i) => i.product)).filter((p) => p.class !== 'lime') };
}

/** The ids that another entry of one's own may not have; that of the lime of a label is kept free. */
export function idsOf({ crops = [], products = [] }: catalog.Own): string[] {
  return [labelId, ...crops.map((c) => c.id), ...products.map((p) => p.id)];
}

function once<T extends { id: string }>(all: (T | undefined)[]): T[] {
  const found = new Map<string, T>();
  for (const one of all) if (one && !found.has(one.id)) found.set(one.id, one);
  return [...found.values()];
}
