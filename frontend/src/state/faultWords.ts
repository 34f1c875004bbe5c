// A fault of the core as one sentence: where, what, what to do.
import type * as fault from '../generated/fault';

export function faultWords(f: fault.Error): string {
  const where = [
    f.where?.line && `line ${f.where.line}`,
    f.where?.feature && `plot ${f.where.feature}`,
    f.where?.ring && f.where.ring > 1 && `hole ${f.where.ring - 1}`,
    f.where?.vertex && `corner ${f.where.vertex}`,
  ].filter(Boolean);
  const sentence = [[where.join(', '), f.what].filter(Boolean).join(': '), f.remedy].filter(Boolean).join(': ');
  return sentence.charAt(0).toUpperCase() + sentence.slice(1);
}
