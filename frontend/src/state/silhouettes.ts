// Outlines laid flat and measured, each by itself: one that the core refuses,
// as one kept on this device whose edges cross, takes no other plot along.
import { CoreFault, Superseded, type Core, type LocalShape, type Outline } from '../core/api';
import type * as record from '../generated/record';
import { faultWords } from './faultWords';

export interface Sized {
  shape?: LocalShape;
  area_m2?: number;
  /** Why there is neither, and what to do. */
  trouble?: string;
}

type Asked = Pick<Core, 'local' | 'measure'>;

/** One outline; nothing once the page that asked was left. */
export async function silhouette(core: Asked, outline: Outline, left: () => boolean): Promise<Sized | undefined> {
  while (!left()) {
    try {
      const [shape] = await core.local([outline]);
      return { shape: shape!, area_m2: (await core.measure(outline, { units: 'us' })).area_m2 };
    } catch (error) {
      if (error instanceof CoreFault) return { trouble: refusal(error) };
      // The page that was left before may still be measuring; then this one asks again.
      if (!(error instanceof Superseded)) throw error;
    }
  }
  return undefined;
}

function refusal({ fault }: CoreFault): string {
  const { feature: _, ...where } = fault.where ?? {}; // it was asked for alone: its number says nothing
  return `The outline cannot be measured. ${faultWords({ ...fault, where })}`;
}

/** Every plot that has an outline, by id. One after the other: of measures that
    wait, the core answers only the newest. */
export async function silhouettes(core: Asked, plots: readonly record.Plot[], left: () => boolean): Promise<ReadonlyMap<string, Sized>> {
  const found = new Map<string, Sized>();
  for (const { id, outline } of plots) {
    const one = outline && (await silhouette(core, outline.coordinates as Outline, left));
    if (one) found.set(id, one);
  }
  return found;
}
