// The desks of this page, one for each plot that was opened: who comes back to a
// plot finds the way back through what was changed as it was left.
import type { Book } from './book.svelte';
import { Desk } from './desk.svelte';

const desks = new Map<string, Desk>();

export function deskOf(book: Book, plotId: string): Desk {
  const desk = desks.get(plotId) ?? new Desk(book, plotId);
  desks.set(plotId, desk);
  return desk;
}
