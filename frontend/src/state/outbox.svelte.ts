// What goes to the program: every change and every new record, one keeper for
// each. What is not taken yet lies in this device's store, and is sent in an
// order in which each finds what it names.
import { newId } from './id';
import { Keeper, type Keeping } from './keeper';
import { Problem, type Server, type Stamp } from './server';
import { namedBy, sendingOrder, stampOf, type Path, type Shelves } from './shelves';
import type { UnsentBox } from './unsent';

/** Two people changed the same record. */
export interface Conflict<P extends Path = Path> {
  path: P;
  mine: Shelves[P];
  theirs: Shelves[P];
}

/** Where a record stands that is not kept yet. */
export interface Standing {
  path: Path;
  state: Keeping;
  problem: Problem | undefined;
}

export interface HearOutbox {
  /** The record as this device has it now. */
  changed(path: Path, record: Stamp): void;
  /** The record as the program has it now, and as this device wishes it where that is newer. */
  kept(path: Path, record: Stamp, wished: Stamp | undefined): void;
  /** Somebody else changed it. */
  met(path: Path, theirs: Stamp): void;
  gone(path: Path, id: string): void;
}

/** A form waits this long for the program before it goes on without it. */
const patienceMs = 4000;

export class Outbox {
  standing = $state.raw<ReadonlyMap<string, Standing>>(new Map());
  conflicts = $state.raw<readonly Conflict[]>([]);
  /** The device's store took no more: what is not sent lasts until the page is closed. */
  full = $state(false);
  private keepers = new Map<string, { path: Path; keeper: Keeper<Stamp> }>();
  private settling = new Map<string, () => void>();
  /** Records that the program is about to change by itself. */
  private heldBack = new Set<string>();

  constructor(
    private readonly server: Pick<Server, 'update' | 'get' | 'remove'>,
    private readonly box: UnsentBox | undefined,
    private readonly hear: HearOutbox,
  ) {}

  /** Takes up what was not sent when the page was last closed. */
  takeUp(): void {
    for (const { path, record } of this.box?.all() ?? []) {
      if (this.keepers.has(record.id)) continue;
      this.keeperOf(path, record).keep((kept) => ({ ...record, ...stampOf(kept) }));
      this.hear.changed(path, record);
    }
  }

  /** Keeps a record changed like this; a later wish replaces one not yet sent. */
  keep<P extends Path>(path: P, record: Shelves[P], wish: (kept: Shelves[P]) => Shelves[P]): void {
    const keeper = this.keeperOf(path, record) as unknown as Keeper<Shelves[P]>;
    const wished = wish(keeper.current);
    this.store(path, wished);
    this.hear.changed(path, wished);
    keeper.keep(wish);
  }

  /** A new record, made here with its final id. Without an answer it stays on
      this device until it can be sent; refused, it is given up and the refusal thrown. */
  async make<P extends Path>(path: P, fields: Omit<Shelves[P], keyof Stamp>): Promise<Shelves[P]> {
    const now = new Date().toISOString();
    const record = { id: newId(), revision: 0, created_at: now, updated_at: now, ...fields } as unknown as Shelves[P];
    const settled = new Promise<void>((done) => {
      this.settling.set(record.id, done);
      setTimeout(done, patienceMs);
    });
    this.keep(path, record, (kept) => ({ ...record, ...stampOf(kept) }));
    await settled;
    this.settling.delete(record.id);
    const { state, problem } = this.standing.get(record.id) ?? {};
    if (state === 'refused') {
      this.giveUp(path, record.id);
      throw problem ?? new Problem(0, 'unknown', 'it was not taken');
    }
    return this.keepers.get(record.id)!.keeper.current as unknown as Shelves[P];
  }

  /** Deletes a record, there or only here. */
  async remove(path: Path, record: Stamp): Promise<void> {
    if (record.revision > 0) await this.server.remove(path, record);
    this.giveUp(path, record.id);
  }

  private giveUp(path: Path, id: string): void {
    this.keepers.get(id)?.keeper.stop();
    this.keepers.delete(id);
    this.stand(path, id, 'kept');
    this.box?.drop(id);
    this.hear.gone(path, id);
  }

  /** What this device wishes of a record that is not kept so yet. */
  wished<P extends Path>(path: P, id: string): Shelves[P] | undefined {
    const found = this.keepers.get(id);
    return found?.path === path ? (found.keeper.wished as unknown as Shelves[P] | undefined) : undefined;
  }

  allWished<P extends Path>(path: P): Shelves[P][] {
    return [...this.keepers.values()].filter((k) => k.path === path && k.keeper.pending).map((k) => k.keeper.wished as unknown as Shelves[P]);
  }

  /** The program has this revision now, by another way than through us. */
  learn(path: Path, record: Stamp): void {
    const keeper = this.keepers.get(record.id)?.keeper;
    keeper?.learn(record);
    if (keeper?.wished) this.store(path, keeper.wished);
  }

  /** Until it is learnt anew nothing is sent of this record. */
  async holdBack<T>(id: string, until: () => Promise<T>): Promise<T> {
    this.heldBack.add(id);
    try {
      return await until();
    } finally {
      this.heldBack.delete(id);
      this.sendOn();
    }
  }

  /** Our change goes on top of theirs. */
  insist({ path, theirs }: Conflict): void {
    this.settle(theirs.id);
    const { keeper } = this.keepers.get(theirs.id)!;
    keeper.learn(theirs);
    if (keeper.wished) this.store(path, keeper.wished);
    keeper.retry();
  }

  /** Theirs stays. */
  giveWay({ path, theirs }: Conflict): void {
    this.settle(theirs.id);
    this.keepers.get(theirs.id)!.keeper.giveWay(theirs);
    this.box?.drop(theirs.id);
    this.hear.kept(path, theirs, undefined);
  }

  private settle(id: string): void {
    this.conflicts = this.conflicts.filter((c) => c.theirs.id !== id);
  }

  /** Try everything again, as when the network is back. */
  sendOn(): void {
    const waiting = [...this.standing].filter(([, { state }]) => state === 'waiting');
    for (const path of sendingOrder) {
      for (const [id, standing] of waiting) if (standing.path === path) this.keepers.get(id)?.keeper.retry();
    }
  }

  private keeperOf(path: Path, record: Stamp): Keeper<Stamp> {
    const known = this.keepers.get(record.id);
    if (known) return known.keeper;
    const keeper: Keeper<Stamp> = new Keeper<Stamp>(
      this.server,
      path,
      record,
      {
        state: (state, problem) => this.stand(path, record.id, state, problem),
        kept: (kept) => this.took(path, keeper, kept),
        conflict: (theirs, mine) => {
          this.settle(record.id);
          this.hear.met(path, theirs);
          this.conflicts = [...this.conflicts, { path, mine, theirs } as unknown as Conflict];
        },
      },
      () => this.mayGo(path, keeper),
    );
    this.keepers.set(record.id, { path, keeper });
    return keeper;
  }

  /** Nothing goes before what it names, and a plot waits for a survey that gives its outline. */
  private mayGo(path: Path, keeper: Keeper<Stamp>): boolean {
    const { id } = keeper.current;
    if (this.heldBack.has(id)) return false;
    const named = new Set(namedBy(keeper.wished!));
    for (const { path: other, keeper: { wished } } of this.keepers.values()) {
      if (!wished) continue;
      if (wished.revision === 0 && named.has(wished.id)) return false;
      if (path !== '/plots' || other !== '/surveys' || keeper.current.revision === 0) continue;
      const survey = wished as unknown as Shelves['/surveys'];
      if (survey.plot_id === id && this.standing.get(survey.id)?.state !== 'refused') return false;
    }
    return true;
  }

  private took(path: Path, keeper: Keeper<Stamp>, kept: Stamp): void {
    const { wished } = keeper;
    if (wished) this.store(path, wished);
    else this.box?.drop(kept.id);
    this.hear.kept(path, kept, wished);
  }

  private store(path: Path, record: Stamp): void {
    if (this.box && !this.box.put(path, record)) this.full = true;
  }

  private stand(path: Path, id: string, state: Keeping, problem?: Problem): void {
    const next = new Map(this.standing);
    if (state === 'kept') next.delete(id);
    else next.set(id, { path, state, problem });
    this.standing = next;
    if (state === 'saving') return;
    this.settling.get(id)?.();
    if (state === 'kept') this.sendOn(); // the program answers, and what named this can go
  }
}
