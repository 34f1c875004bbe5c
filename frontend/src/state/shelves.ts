// The shelves of the program: which records lie where, and what each leans on.
import type * as record from '../generated/record';
import type { Stamp } from './server';

export interface Shelves {
  '/properties': record.Property;
  '/spreaders': record.Spreader;
  '/mixes': record.Mix;
  '/plots': record.Plot;
  '/surveys': record.Survey;
  '/sheets': record.Sheet;
}
export type Path = keyof Shelves;

/** In this order nothing is sent before what it names. */
export const sendingOrder: readonly Path[] = ['/properties', '/spreaders', '/mixes', '/plots', '/surveys', '/sheets'];

/** Once made here these are not changed here any more: what is there under
    their id is ours, whatever was said of it since. */
export const madeOnce: ReadonlySet<string> = new Set<Path>(['/properties', '/surveys', '/sheets']);

/** The ids of the records that a record names. */
export function namedBy(one: Stamp): string[] {
  const { property_id, plot_id, spreader_id, mix_id } = one as Partial<record.Plot & record.Sheet>;
  return [property_id, plot_id, spreader_id, mix_id].filter((id): id is string => !!id);
}

/** A record without what the program itself writes on it. */
export function stampOf({ id, revision, created_at, updated_at }: Stamp): Stamp {
  return { id, revision, created_at, updated_at };
}

/** Whether two records say the same, whatever their stamps; the program leaves
    out what is empty, and turns a ring round where it likes. */
export function sameContent(a: Stamp, b: Stamp): boolean {
  return canonical(a) === canonical(b);
}

/** Whether a field says the same in two versions. */
export function sameValue(key: string, a: unknown, b: unknown): boolean {
  return JSON.stringify(bare({ [key]: a })) === JSON.stringify(bare({ [key]: b }));
}

const stamped = new Set(['id', 'revision', 'created_at', 'updated_at']);

function canonical(one: Stamp): string {
  const own = Object.fromEntries(Object.entries(one).filter(([key]) => !stamped.has(key)));
  return JSON.stringify(bare(own)) ?? '';
}

/** Zero is nothing, but in a soil test, where it is what the laboratory asks for. */
function bare(value: unknown, none: unknown = undefined): unknown {
  if (Array.isArray(value)) return value.length ? (value as unknown[]).map((one) => bare(one)) : undefined;
  if (typeof value !== 'object' || value === null) return value || (value === 0 ? none : undefined);
  const fields = Object.entries(value)
    .map(([key, v]) => [key, key === 'coordinates' ? corners(v as number[][][]) : bare(v, key === 'soil' ? 0 : none)] as const)
    .filter(([, v]) => v !== undefined)
    .sort(([a], [b]) => (a < b ? -1 : 1));
  return fields.length ? Object.fromEntries(fields) : undefined;
}

function corners(rings: number[][][]): string[][] {
  return rings.map((ring) => [...new Set(ring.map((at) => at.slice(0, 2).join()))].sort());
}
