// What a person works on: one plot with the spreader and the mix that are used
// on it. A draft is a value; undo goes back to an older one.
import type * as agronomy from '../generated/agronomy';
import type * as mix from '../generated/mix';
import type * as record from '../generated/record';
import type * as spreader from '../generated/spreader';
import type { Outline } from '../map/adapter';

export interface Draft {
  readonly name: string;
  readonly note: string;
  readonly outline: Outline;
  readonly keepOff: agronomy.KeepOff[];
  readonly options: agronomy.Options;
  readonly spreaderId: string;
  readonly mixId: string;
  readonly spreader: spreader.Spreader | undefined;
  readonly mix: mix.Mix | undefined;
  /** Plots of their own that were cut off this one since the sheet was opened. */
  readonly parts: readonly record.Plot[];
}

/** The plot as the server keeps it, changed as the draft says. */
export function plotOf(draft: Draft, kept: record.Plot): record.Plot {
  const plot: record.Plot = { ...kept, name: draft.name, keep_off: draft.keepOff, driver: draft.options };
  if (draft.note) plot.note = draft.note;
  else delete plot.note;
  if (draft.spreaderId) plot.spreader_id = draft.spreaderId;
  else delete plot.spreader_id;
  if (draft.mixId) plot.mix_id = draft.mixId;
  else delete plot.mix_id;
  if (draft.outline.length) plot.outline = { type: 'Polygon', coordinates: draft.outline };
  return plot;
}

/** A piece cut off a plot, as a plot of its own. It is spread with the same
    goods, keeps off the same lines, and is driven with the same wishes but for
    the way in and the plan, which were the whole's. */
export function partOf(draft: Draft, whole: record.Plot, name: string, coordinates: Outline): Omit<record.Plot, keyof record.Stamp> {
  const { start: _in, plan: _plan, ...driver } = draft.options;
  return {
    property_id: whole.property_id,
    name,
    ...(draft.spreaderId ? { spreader_id: draft.spreaderId } : {}),
    ...(draft.mixId ? { mix_id: draft.mixId } : {}),
    keep_off: draft.keepOff,
    driver,
    outline: { type: 'Polygon', coordinates },
  };
}

/** A name for a part of a plot that no plot has yet; what is cut off a part counts on. */
export function partName(whole: string, taken: readonly string[]): string {
  const of = whole.replace(/, part \d+$/, '');
  let n = 2;
  while (taken.includes(`${of}, part ${n}`)) n++;
  return `${of}, part ${n}`;
}

/** The draft with what the server keeps of the plot, as after a conflict. What
    the spreader and the mix are follows from their ids. */
export function withPlot(draft: Draft, plot: record.Plot): Draft {
  return {
    ...draft,
    name: plot.name,
    note: plot.note ?? '',
    outline: (plot.outline?.coordinates ?? []) as Outline,
    keepOff: plot.keep_off ?? [],
    options: (plot.driver ?? {}) as agronomy.Options,
    spreaderId: plot.spreader_id ?? '',
    mixId: plot.mix_id ?? '',
  };
}

export function samePlot(a: Draft, b: Draft): boolean {
  return (
    a.name === b.name &&
    a.note === b.note &&
    a.outline === b.outline &&
    a.keepOff === b.keepOff &&
    a.options === b.options &&
    a.spreaderId === b.spreaderId &&
    a.mixId === b.mixId
  );
}
