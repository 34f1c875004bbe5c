// The plots that cuts made since the sheet was opened: they go when undo takes
// the cut back, and come again with redo.
import type * as record from '../generated/record';
import type { Book } from './book.svelte';
import { Problem } from './server';
import { stampOf } from './shelves';

/** A plot that undo should have taken away, and what stood against it. */
export interface Left {
  part: record.Plot;
  problem: Problem;
}

export class Parts {
  left = $state.raw<readonly Left[]>([]);
  private doing: Promise<void> = Promise.resolve();

  constructor(private readonly book: Pick<Book, 'outbox' | 'plot'>) {}

  /** Another state of the draft has other parts. */
  follow(before: readonly record.Plot[], now: readonly record.Plot[]): Promise<void> {
    const without = (some: readonly record.Plot[], others: readonly record.Plot[]) => some.filter((p) => !others.some((o) => o.id === p.id));
    const [go, come] = [without(before, now), without(now, before)];
    return (this.doing = this.doing.then(async () => {
      for (const part of go) await this.takeAway(part);
      for (const part of come) this.bringBack(part);
    }));
  }

  async takeAway(part: record.Plot): Promise<void> {
    this.leave(part);
    const plot = this.book.plot(part.id);
    if (!plot) return;
    try {
      await this.book.outbox.remove('/plots', plot);
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      this.left = [...this.left, { part, problem: error }];
    }
  }

  /** The part stays a plot of its own, and nothing more is said of it. */
  leave(part: record.Plot): void {
    this.left = this.left.filter((one) => one.part.id !== part.id);
  }

  private bringBack(part: record.Plot): void {
    this.leave(part);
    if (this.book.plot(part.id)) return;
    const anew = { ...part, revision: 0 };
    this.book.outbox.keep('/plots', anew, (kept) => ({ ...part, ...stampOf(kept) }));
  }
}
