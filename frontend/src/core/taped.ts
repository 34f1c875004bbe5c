import type { Taped } from './api';

/** The lengths in the order in which a survey keeps them. */
export function lengthsOf(taped: Taped): number[] {
  switch (taped.shape) {
    case 'rectangle':
      return [taped.length_m, taped.width_m];
    case 'triangle':
      return [taped.a_m, taped.b_m, taped.c_m];
    case 'circle':
      return [taped.diameter_m];
    case 'baseline':
      return taped.offsets.flatMap((one) => [one.along_m, one.left_m, one.right_m]);
  }
}
