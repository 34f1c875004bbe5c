// A fault of the core as one sentence: where, what, what to do.
import type * as fault from '../generated/fault';

export function faultWords(f: fault.Error): string {
  const where = [
    f.where?.line && `line ${f.where.line}`,
    f.where?.feature && `plot ${f.where.feature}`,
    f.where?.ring && f.where.ring > 1 && `hole ${f.where.ring - 1}`,
    f.where?.vertex && `corner ${f.where.vertex}`,
  ].filter(Boolean);
  return sentence({ ...f, what: [where.join(', '), f.what].filter(Boolean).join(': ') });
}

/** What and what to do, where the place is shown and need not be said. */
export function sentence({ what, remedy }: Pick<fault.Error, 'what' | 'remedy'>): string {
  const words = [what, remedy].filter(Boolean).join(': ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}
