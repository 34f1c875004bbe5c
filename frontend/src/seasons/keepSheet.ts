// The season's record: the sheet of a plot as it stands on its day.
import type { System } from '../core/api';
import type * as record from '../generated/record';
import type { Book } from '../state/book.svelte';
import type { Draft } from '../state/draft';
import { today } from '../state/today';

/** Keeps the sheet for the season; the program works it out once more. */
export async function keepSheet(book: Book, plotId: string, draft: Draft, units: System): Promise<record.Sheet> {
  const { spreaderId, mixId, options } = draft;
  const wish = { plot_id: plotId, spreader_id: spreaderId, mix_id: mixId, date: options.date || today(), options: { ...options, units } };
  const kept = await book.server.create<record.Sheet>('/sheets', wish);
  await book.addSheet(kept);
  return kept;
}
