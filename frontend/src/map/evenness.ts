// Paints ratios to the target as seven steps of ink from thin to thick. The
// steps are fixed so that the same colour means the same on every sheet.
import type { EvennessGrid } from './adapter';

/** Upper ends of all steps but the last, as ratios to the target. */
export const stepEnds = [0.5, 0.75, 0.9, 1.1, 1.25, 1.5];

export function stepOf(ratio: number): number {
  let step = 0;
  while (step < stepEnds.length && ratio > stepEnds[step]!) step++;
  return step;
}

function rgb(hex: string): [number, number, number] {
  const n = parseInt(hex.slice(1), 16);
  return [n >> 16, (n >> 8) & 255, n & 255];
}

/** One pixel per cell, north up; bare ground stays clear. */
export function paint(grid: EvennessGrid, colours: string[]): Uint8ClampedArray<ArrayBuffer> {
  const palette = colours.map(rgb);
  const out = new Uint8ClampedArray(grid.cols * grid.rows * 4);
  for (let row = 0; row < grid.rows; row++) {
    for (let col = 0; col < grid.cols; col++) {
      const ratio = grid.ratio[row * grid.cols + col]!;
      if (!(ratio >= 0)) continue;
      const [r, g, b] = palette[stepOf(ratio)]!;
      const at = ((grid.rows - 1 - row) * grid.cols + col) * 4;
      out[at] = r;
      out[at + 1] = g;
      out[at + 2] = b;
      out[at + 3] = 255;
    }
  }
  return out;
}
