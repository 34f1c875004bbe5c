// The season's record: the sheet of a plot as it stands on its day.
import type { System } from '../core/api';
import type * as record from '../generated/record';
import type { Desk } from '../state/desk.svelte';
import { today } from '../state/today';

/** Keeps the sheet for the season, on this device until it can be sent. What it
    was made from goes with it, so that the program works out this very sheet. */
export async function keepSheet(desk: Desk, units: System): Promise<record.Sheet> {
  const inputs = desk.request(units);
  if (!inputs) throw new Error('There is no sheet to keep yet');
  const { spreaderId, mixId, options } = desk.draft;
  const date = options.date || today();
  return desk.book.outbox.make('/sheets', { plot_id: desk.plotId, spreader_id: spreaderId, mix_id: mixId, date, inputs });
}
