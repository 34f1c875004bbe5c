// The season's record: the sheet of a plot as it stands on its day, once.
import type { PrepareRequest, System } from '../core/api';
import type * as agronomy from '../generated/agronomy';
import type * as record from '../generated/record';
import type { Desk } from '../state/desk.svelte';
import { today } from '../state/today';

export interface KeptSheet {
  sheet: record.Sheet;
  /** It was kept before: the same sheet twice would count twice. */
  already: boolean;
}

/** Keeps the sheet for the season, on this device until it can be sent. What it
    was made from goes with it, so that the program works out this very sheet;
    worked is that sheet as the core has it. */
export async function keepSheet(desk: Desk, units: System, worked: agronomy.Sheet): Promise<KeptSheet> {
  const inputs = desk.request(units);
  if (!inputs) throw new Error('There is no sheet to keep yet');
  const { spreaderId, mixId, options } = desk.draft;
  const date = options.date || today();
  const before = await keptBefore(desk, date, inputs, worked);
  if (before) return { sheet: before, already: true };
  return { sheet: await desk.book.outbox.make('/sheets', { plot_id: desk.plotId, spreader_id: spreaderId, mix_id: mixId, date, inputs }), already: false };
}

/** The sheet of that plot and day that says the same, if one is kept. */
async function keptBefore({ book, plotId }: Desk, date: string, inputs: PrepareRequest, worked: agronomy.Sheet): Promise<record.Sheet | undefined> {
  for (const sheet of book.sheets.filter((one) => one.plot_id === plotId && one.date === date)) {
    const unsent = book.outbox.wished('/sheets', sheet.id);
    if (unsent ? JSON.stringify(unsent.inputs) === JSON.stringify(inputs) : sameSheet(await book.resultOf(sheet), worked)) return sheet;
  }
  return undefined;
}

/** Whether two sheets tell a person to do the same. The units that they are
    told in do not count, nor do figures that differ as the program's and the
    core's may: by far less than anybody reads. */
export function sameSheet(a: agronomy.Sheet | undefined, b: agronomy.Sheet): boolean {
  return a !== undefined && alike(gist(a), gist(b));
}

/** What is done with a sheet. */
function gist({ ground, spreader, drive, mix, materials, loads }: agronomy.Sheet): unknown {
  return [
    [ground.outline, ground.spread_m2, ground.guess?.area_m2],
    [spreader.name, spreader.throw_m, spreader.spacing_m, spreader.first_inset_m, spreader.speed_mps, spreader.groups.map((g) => [g.gate, g.flow_kg_per_s])],
    [drive.name, drive.length_m, drive.turns, drive.time_s, drive.start_m],
    [mix, materials.map((m) => [m.id, m.spread_kg, m.bags, m.cost])],
    loads.map((load) => [load.group, load.mass_kg]),
  ];
}

const apart = 1e-6; // relative; the program and the core agree to 1e-9

function alike(a: unknown, b: unknown): boolean {
  if (typeof a === 'number' && typeof b === 'number') return Math.abs(a - b) <= apart * Math.max(1, Math.abs(a), Math.abs(b));
  if (Array.isArray(a) && Array.isArray(b)) return a.length === b.length && a.every((one, i) => alike(one, b[i]));
  return (a ?? 0) === (b ?? 0); // what is nothing may be left out
}

/** What a person reads of it. */
export function keptWords({ sheet, already }: KeptSheet): string {
  if (already) return 'kept for the season already';
  return sheet.revision > 0 ? 'kept for the season' : 'kept on this device for the season, sent when it can be';
}
