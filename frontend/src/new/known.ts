// What the notebook has already of plots that come in.
import type { Outline } from '../core/api';
import type * as record from '../generated/record';

const numbered = /^Plot (\d+)$/; // as readers of files call what has no name

/** The name for a new plot: its own; where it has none, or only a number that
    another plot has, the next number that is free. */
export function freeName(name: string, taken: readonly string[]): string {
  const own = numbered.exec(name);
  if (name && (!own || !taken.includes(name))) return name;
  let number = Number(own?.[1] ?? 1);
  while (taken.includes(`Plot ${number}`)) number++;
  return `Plot ${number}`;
}

/** The plot of this very outline, if there is one. */
export function plotOfOutline(outline: Outline, plots: readonly record.Plot[]): record.Plot | undefined {
  const wanted = shapeOf(outline);
  return plots.find((plot) => plot.outline && shapeOf(plot.outline.coordinates as Outline) === wanted);
}

/** The corners, wherever a ring begins and whichever way it runs, to about a centimetre. */
function shapeOf(outline: Outline): string {
  const rings = outline.map((ring) => [...new Set(ring.map(([lon, lat]) => `${lon.toFixed(7)} ${lat.toFixed(7)}`))].sort().join());
  return rings.sort().join(';');
}
