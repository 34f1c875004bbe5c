// Keeps a record at the server while a person goes on changing it: one change
// under way at a time, the newest wins, none is lost. When someone else changed
// the record meanwhile nothing is overwritten; both are handed out for a choice.
import { Problem, type Server, type Stamp } from './server';

export type Keeping = 'kept' | 'saving' | 'waiting' | 'conflict' | 'refused';

export interface Hear<R> {
  state(state: Keeping, problem?: Problem): void;
  kept(record: R): void;
  conflict(theirs: R): void;
}

const retryMs = 4000;

export class Keeper<R extends Stamp> {
  private wish: ((kept: R) => R) | undefined;
  private running = false;
  private stopped = false;
  private timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    private readonly server: Pick<Server, 'update' | 'get'>,
    private readonly path: string,
    private record: R,
    private readonly hear: Hear<R>,
  ) {}

  get current(): R {
    return this.record;
  }

  /** Someone outside this keeper saved or read a newer revision. */
  learn(record: R): void {
    this.record = record;
  }

  /** Keep the record, changed like this. A later wish replaces one not yet sent. */
  keep(wish: (kept: R) => R): void {
    this.wish = wish;
    this.stopped = false;
    void this.run();
  }

  /** After a conflict: our change goes on top of theirs. */
  insist(theirs: R): void {
    this.record = theirs;
    this.stopped = false;
    void this.run();
  }

  /** After a conflict: theirs stays, our change is dropped. */
  giveWay(theirs: R): void {
    this.record = theirs;
    this.wish = undefined;
    this.stopped = false;
    this.hear.state('kept');
  }

  get pending(): boolean {
    return this.wish !== undefined;
  }

  private async run(): Promise<void> {
    if (this.running) return;
    this.running = true;
    clearTimeout(this.timer);
    while (this.wish && !this.stopped) await this.send(this.wish);
    this.running = false;
  }

  private async send(wish: (kept: R) => R): Promise<void> {
    this.hear.state('saving');
    try {
      this.record = await this.server.update<R>(this.path, wish(this.record));
      if (this.wish === wish) this.wish = undefined;
      this.hear.kept(this.record);
      if (!this.wish) this.hear.state('kept');
    } catch (error) {
      await this.failed(error instanceof Problem ? error : new Problem(0, 'unknown', String(error)));
    }
  }

  private async failed(problem: Problem): Promise<void> {
    this.stopped = true;
    if (problem.unreachable) {
      this.hear.state('waiting', problem);
      this.timer = setTimeout(() => this.retry(), retryMs);
      return;
    }
    if (!problem.stale) {
      this.hear.state('refused', problem);
      return;
    }
    try {
      const theirs = await this.server.get<R>(`${this.path}/${this.record.id}`);
      this.hear.state('conflict', problem);
      this.hear.conflict(theirs);
    } catch {
      this.hear.state('waiting', problem);
      this.timer = setTimeout(() => this.retry(), retryMs);
    }
  }

  /** Try again now, as when the network is back. */
  retry(): void {
    this.stopped = false;
    void this.run();
  }
}
