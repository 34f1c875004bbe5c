// Keeps a record at the server while a person goes on changing it: one change
// under way at a time, the newest wins, none is lost. When someone else changed
// the record meanwhile nothing is overwritten; both are handed out for a choice.
// A record of revision 0 was made on this device: its first change makes it there.
import { Problem, type Server, type Stamp } from './server';
import { madeOnce, sameContent } from './shelves';

export type Keeping = 'kept' | 'saving' | 'waiting' | 'conflict' | 'refused';

export interface Hear<R> {
  state(state: Keeping, problem?: Problem): void;
  kept(record: R): void;
  /** Both were made from the base, where that is known. */
  conflict(theirs: R, mine: R, base: R | undefined): void;
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
    /** False while something that the record names has to be sent first. */
    private readonly mayGo: () => boolean = () => true,
    /** Sends when no other page of this device does. */
    private readonly inTurn: (send: () => Promise<void>) => Promise<void> = (send) => send(),
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

  /** The record as it is wished, where that is not kept yet. */
  get wished(): R | undefined {
    return this.wish?.(this.record);
  }

  /** The record is wished like this after all, as another page of this device has it. */
  rewish(wish: (kept: R) => R): void {
    this.wish = wish;
  }

  /** The program has it as it is wished, by another page of this device. */
  sentAlready(record: R): void {
    if (this.wish) this.taken(record, this.wish);
  }

  /** Nothing more is sent, as when the record is given up. */
  stop(): void {
    this.wish = undefined;
    clearTimeout(this.timer);
  }

  private async run(): Promise<void> {
    if (this.running) return;
    this.running = true;
    clearTimeout(this.timer);
    while (this.goesOn()) {
      this.hear.state('saving');
      await this.inTurn(() => this.send());
    }
    this.running = false;
  }

  private goesOn(): boolean {
    if (!this.wish || this.stopped) return false;
    if (this.mayGo()) return true;
    this.stopped = true;
    this.hear.state('waiting');
    return false;
  }

  private async send(): Promise<void> {
    const { wish } = this;
    if (!wish || !this.goesOn()) return; // things change while others have their turn
    const sent = wish(this.record);
    try {
      const record = await this.server.update<R>(this.path, sent);
      if (this.wish) this.taken(record, wish);
    } catch (error) {
      if (!this.wish) return; // given up meanwhile
      await this.failed(error instanceof Problem ? error : new Problem(0, 'unknown', String(error)), sent, wish);
    }
  }

  /** The server has it. */
  private taken(record: R, wish: (kept: R) => R): void {
    this.record = record;
    if (this.wish === wish) this.wish = undefined;
    this.hear.kept(record);
    if (!this.wish) this.hear.state('kept');
  }

  private async failed(problem: Problem, sent: R, wish: (kept: R) => R): Promise<void> {
    if (problem.unreachable) return this.waitFor(problem);
    if (!problem.stale) {
      this.stopped = true;
      this.hear.state('refused', problem);
      return;
    }
    try {
      this.met(await this.server.get<R>(`${this.path}/${this.record.id}`), sent, wish, problem);
    } catch {
      this.waitFor(problem);
    }
  }

  /** Another revision is there. It is our own where the answer to us was lost;
      else somebody else's. */
  private met(theirs: R, sent: R, wish: (kept: R) => R, problem: Problem): void {
    if (sameContent(theirs, sent) || (sent.revision === 0 && madeOnce.has(this.path))) return this.taken(theirs, wish);
    if (sent.revision === 0 && theirs.revision === 1) {
      this.record = theirs; // made by us and changed since: sent on top
      return;
    }
    this.stopped = true;
    this.hear.state('conflict', problem);
    this.hear.conflict(theirs, this.wished ?? sent, sent.revision === 0 ? undefined : this.record);
  }

  private waitFor(problem: Problem): void {
    this.stopped = true;
    this.hear.state('waiting', problem);
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.retry(), retryMs);
  }

  /** Try again now, as when the network is back. */
  retry(): void {
    this.stopped = false;
    void this.run();
  }
}
