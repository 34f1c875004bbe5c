// Two changes of one thing laid together: what only one person changed is taken
// from that person, and what both changed is left for a choice.
import { sameValue } from './shelves';

/** Fields whose own fields are changed apart from each other. Everything else,
    as an outline, a pattern or the materials of a mix, means something only as a whole. */
const opened = new Set(['driver', 'options', 'document', 'patterns']);

export interface Laid<T> {
  /** Both changes, ours where both changed the same. */
  mine: T;
  /** Both changes, theirs where both changed the same. */
  theirs: T;
  disputed: boolean;
}

/** Lays two versions together that were made from the same base. */
export function layTogether<T extends object>(base: object, mine: T, theirs: T): Laid<T> {
  const [before, ours, others] = [base, mine, theirs] as Record<string, unknown>[];
  const laid: Laid<Record<string, unknown>> = { mine: {}, theirs: {}, disputed: false };
  for (const key of new Set([...Object.keys(ours!), ...Object.keys(others!)])) {
    const one = layField(key, before![key], ours![key], others![key]);
    if (one.mine !== undefined) laid.mine[key] = one.mine;
    if (one.theirs !== undefined) laid.theirs[key] = one.theirs;
    laid.disputed ||= one.disputed;
  }
  return laid as unknown as Laid<T>;
}

function layField(key: string, base: unknown, mine: unknown, theirs: unknown): Laid<unknown> {
  const taken = (one: unknown) => ({ mine: one, theirs: one, disputed: false });
  if (sameValue(key, mine, theirs) || sameValue(key, theirs, base)) return taken(mine);
  if (sameValue(key, mine, base)) return taken(theirs);
  if (opened.has(key)) return layTogether((base ?? {}) as object, (mine ?? {}) as object, (theirs ?? {}) as object);
  return { mine, theirs, disputed: true };
}
