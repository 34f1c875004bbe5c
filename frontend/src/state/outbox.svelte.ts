// What goes to the program: every change and every new record, one keeper for
// each. What is not taken yet lies in this device's store, and is sent in an
// order in which each finds what it names.
import { newId } from './id';
import { inTurn } from './inTurn';
import { Keeper, type Keeping } from './keeper';
import { layTogether } from './merge';
import { Problem, type Server, type Stamp } from './server';
import { namedBy, sameContent, sendingOrder, stampOf, type Path, type Shelves } from './shelves';
import type { Unsent, UnsentBox } from './unsent';

/** Two people changed the same. What only one of them changed is in both versions. */
export interface Conflict<P extends Path = Path> {
  path: P;
  mine: Shelves[P];
  theirs: Shelves[P];
  /** As the program has it. */
  there: Shelves[P];
  /** What both were made from, where that is known. */
  base: Shelves[P] | undefined;
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
  /** What somebody else changed since the base is taken along with what was changed here. */
  laid(path: Path, base: Stamp, theirs: Stamp): void;
  gone(path: Path, id: string): void;
}

/** A record that is not kept as it is wished. */
interface Held {
  path: Path;
  keeper: Keeper<Stamp>;
  /** Changed by this page, not only taken up from the device. */
  touched: boolean;
  /** A person drew its outline: it does not follow the program's. */
  drawn: boolean;
  /** What the program had of it when it was changed is not known. */
  baseless: boolean;
}

/** A form waits this long for the program before it goes on without it. */
const patienceMs = 4000;

export class Outbox {
  standing = $state.raw<ReadonlyMap<string, Standing>>(new Map());
  conflicts = $state.raw<readonly Conflict[]>([]);
  /** The device's store takes no more, or nothing: what is not sent lasts until the page is closed. */
  full = $state(false);
  private unstored = new Set<string>();
  private keepers = new Map<string, Held>();
  private settling = new Map<string, () => void>();
  /** Records that the program is about to change by itself. */
  private heldBack = new Map<string, number>();

  constructor(
    private readonly server: Pick<Server, 'update' | 'get' | 'remove'>,
    private readonly box: UnsentBox | undefined,
    private readonly hear: HearOutbox,
    /** Whether a person deleted a record: then nothing of it is wished or sent. */
    private readonly isDeleted: (id: string) => boolean = () => false,
  ) {}

  /** Takes up what was not sent when the page was last closed. */
  takeUp(): void {
    for (const { path, record } of this.box?.all() ?? []) {
      const found = this.keepers.has(record.id) ? undefined : this.box?.takeUp(record.id);
      if (!found) continue;
      const held = this.held(path, found.base ?? record, found.drawn);
      held.baseless = !found.base;
      held.keeper.keep(asFound(found));
      this.hear.changed(path, found.record);
    }
  }

  /** Keeps a record changed like this; a later wish replaces one not yet sent. */
  keep<P extends Path>(path: P, record: Shelves[P], wish: (kept: Shelves[P]) => Shelves[P]): void {
    const held = this.held(path, record);
    const keeper = held.keeper as unknown as Keeper<Shelves[P]>;
    const wished = wish(keeper.current);
    held.touched = true;
    held.drawn ||= outlineOf(wished) !== outlineOf(keeper.current);
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

  /** What was made here for a new record and cannot be without it. */
  madeFor(id: string): Standing[] {
    return this.leaningOn(id).flatMap(([other]) => [this.standing.get(other) ?? [], this.madeFor(other)].flat());
  }

  private leaningOn(id: string): [string, Held][] {
    if (this.keepers.get(id)?.keeper.wished?.revision !== 0) return [];
    return [...this.keepers].filter(([, { keeper }]) => {
      const { property_id, plot_id } = (keeper.wished ?? {}) as Partial<Shelves['/plots'] & Shelves['/sheets']>;
      return property_id === id || plot_id === id;
    });
  }

  /** Gives up what this device wishes of a record, and what was made for it. */
  discard(path: Path, id: string): void {
    for (const [other, held] of this.leaningOn(id)) this.discard(held.path, other);
    const isNew = this.keepers.get(id)?.keeper.wished?.revision === 0;
    this.letGo(path, id);
    if (isNew) this.hear.gone(path, id);
  }

  /** Forgets a record that is gone. */
  giveUp(path: Path, id: string): void {
    this.letGo(path, id);
    this.hear.gone(path, id);
  }

  private letGo(path: Path, id: string): void {
    this.keepers.get(id)?.keeper.stop();
    this.keepers.delete(id);
    this.settle(id);
    this.unstore(id);
    this.stand(path, id, 'kept');
  }

  /** What this device wishes of a record that is not kept so yet. */
  wished<P extends Path>(path: P, id: string): Shelves[P] | undefined {
    const found = this.isDeleted(id) ? undefined : this.keepers.get(id);
    return found?.path === path ? (found.keeper.wished as unknown as Shelves[P] | undefined) : undefined;
  }

  allWished<P extends Path>(path: P): Shelves[P][] {
    const wishes = [...this.keepers.values()].filter((k) => k.path === path && k.keeper.pending && !this.isDeleted(k.keeper.current.id));
    return wishes.map((k) => k.keeper.wished as unknown as Shelves[P]);
  }

  /** The program has this revision now, by another way than through us; gives
      the newest that is known. */
  learn<P extends Path>(path: P, record: Shelves[P]): Shelves[P] {
    const keeper = this.keepers.get(record.id)?.keeper;
    const newest = this.newest(path, record);
    keeper?.learn(newest);
    if (keeper?.wished) this.store(path, keeper.wished);
    return newest;
  }

  /** A record as it was read, or as an answer that overtook it has it. */
  newest<P extends Path>(path: P, read: Shelves[P]): Shelves[P] {
    const known = this.keepers.get(read.id);
    const current = known?.keeper.current;
    return known?.path === path && current && current.revision > read.revision ? (current as unknown as Shelves[P]) : read;
  }

  /** Until it is learnt anew nothing is sent of this record. */
  async holdBack<T>(id: string, until: () => Promise<T>): Promise<T> {
    this.heldBack.set(id, (this.heldBack.get(id) ?? 0) + 1);
    try {
      return await until();
    } finally {
      this.heldBack.set(id, this.heldBack.get(id)! - 1);
      this.sendOn();
    }
  }

  /** Our change goes on top of theirs. */
  insist(conflict: Conflict): void {
    this.layOver(conflict, conflict.mine);
  }

  /** Theirs stays, with what we changed besides. */
  giveWay(conflict: Conflict): void {
    const { path, theirs, there } = conflict;
    if (!sameContent(theirs, there)) return this.layOver(conflict, theirs);
    this.settle(there.id);
    this.keepers.get(there.id)!.keeper.giveWay(there);
    this.unstore(there.id);
    this.hear.kept(path, there, undefined);
  }

  private layOver({ path, there }: Pick<Conflict, 'path' | 'there'>, record: Stamp): void {
    this.settle(there.id);
    const held = this.keepers.get(there.id)!;
    held.keeper.learn(there);
    held.baseless = false;
    this.store(path, record);
    this.hear.changed(path, record);
    held.keeper.keep(asFound({ path, record, drawn: held.drawn }));
  }

  /** Somebody else changed what was changed here: where both changed the same
      a person has to choose, else both changes are kept. */
  private differ(path: Path, theirs: Stamp, mine: Stamp, base: Stamp | undefined): void {
    this.settle(theirs.id);
    this.hear.met(path, theirs);
    const laid = base && layTogether(base, { ...mine, ...stampOf(theirs) }, theirs);
    if (base && laid && !laid.disputed) {
      this.hear.laid(path, base, theirs);
      this.layOver({ path, there: theirs as Conflict['there'] }, laid.mine);
      return;
    }
    this.conflicts = [...this.conflicts, { path, mine, theirs, ...laid, there: theirs, base } as unknown as Conflict];
  }

  private settle(id: string): void {
    this.conflicts = this.conflicts.filter((c) => c.theirs.id !== id);
  }

  /** Try everything again, as when the network is back; what was refused only
      when a person asks for it. */
  sendOn(refused = false): void {
    const waiting = [...this.standing].filter(([, { state }]) => state === 'waiting' || (refused && state === 'refused'));
    for (const path of sendingOrder) {
      for (const [id, standing] of waiting) if (standing.path === path) this.keepers.get(id)?.keeper.retry();
    }
  }

  private held(path: Path, record: Stamp, drawn = false): Held {
    const known = this.keepers.get(record.id);
    if (known) return known;
    const keeper: Keeper<Stamp> = new Keeper<Stamp>(
      this.server,
      path,
      record,
      {
        state: (state, problem) => this.stand(path, record.id, state, problem),
        kept: (kept) => this.took(path, keeper, kept),
        conflict: (theirs, mine, base) => this.differ(path, theirs, mine, held.baseless ? undefined : base),
      },
      () => this.mayGo(path, keeper),
      (send) => inTurn(`sending.${record.id}`, async () => ((await this.sentElsewhere(held)) ? undefined : send())),
    );
    const held: Held = { path, keeper, touched: false, drawn, baseless: false };
    this.keepers.set(record.id, held);
    return held;
  }

  /** Whether another page of this device has sent or discarded a record as it
      lay in the store. What the other page changed of one that this page only
      took up is what is sent. */
  private async sentElsewhere({ path, keeper, touched }: Held): Promise<boolean> {
    const { id, revision } = keeper.current;
    const elsewhere = this.box?.elsewhere(id);
    if (elsewhere === 'changed' && !touched) {
      const found = this.box?.takeUp(id);
      if (found) keeper.rewish(asFound(found));
    }
    // What this page changed of a record that is there already meets its revision; what no store took nobody sent.
    if (elsewhere !== 'dropped' || (touched && (revision > 0 || this.unstored.has(id)))) return false;
    try {
      keeper.sentAlready(await this.server.get<Stamp>(`${path}/${id}`));
    } catch (error) {
      if (touched || !(error instanceof Problem && error.status === 404)) return false; // sending says what is wrong
      this.giveUp(path, id);
    }
    return true;
  }

  /** Nothing goes before what it names, and a plot waits for a survey that gives its outline. */
  private mayGo(path: Path, keeper: Keeper<Stamp>): boolean {
    const { id } = keeper.current;
    if (this.heldBack.get(id) || this.isDeleted(id)) return false;
    const named = new Set(namedBy(keeper.wished!));
    for (const { path: other, keeper: { wished } } of this.keepers.values()) {
      if (!wished) continue;
      if (wished.revision === 0 && named.has(wished.id)) return false;
      if (other !== '/surveys' || this.standing.get(wished.id)?.state === 'refused') continue;
      const survey = wished as unknown as Shelves['/surveys'];
      if (path === '/plots' && keeper.current.revision > 0 && survey.plot_id === id) return false;
      if (path === '/surveys' && named.has(survey.plot_id) && survey.id < id) return false; // the last one stays in use
    }
    return true;
  }

  private took(path: Path, keeper: Keeper<Stamp>, kept: Stamp): void {
    const { wished } = keeper;
    if (wished) {
      this.store(path, wished);
    } else {
      Object.assign(this.keepers.get(kept.id) ?? {}, { touched: false, drawn: false, baseless: false });
      this.unstore(kept.id);
    }
    this.hear.kept(path, kept, wished);
  }

  private store(path: Path, record: Stamp): void {
    const held = this.keepers.get(record.id);
    const base = held && !held.baseless && record.revision > 0 ? { base: held.keeper.current } : {};
    if (this.box?.put({ path, record, drawn: held?.drawn ?? true, ...base })) this.unstored.delete(record.id);
    else this.unstored.add(record.id);
    this.full = this.unstored.size > 0;
  }

  private unstore(id: string): void {
    this.box?.drop(id);
    this.unstored.delete(id);
    this.full = this.unstored.size > 0;
  }

  private stand(path: Path, id: string, state: Keeping, problem?: Problem): void {
    const next = new Map(this.standing);
    if (state === 'kept') next.delete(id);
    else next.set(id, { path, state, problem });
    this.standing = next;
    if (state === 'saving') return;
    this.settling.get(id)?.();
    if (state === 'kept' || state === 'refused') this.sendOn(); // the program answers, and what waited for this can go
  }
}

/** The wish for a record as it lay on this device. */
function asFound({ path, record, drawn }: Unsent): (kept: Stamp) => Stamp {
  return (kept) => ({ ...record, ...stampOf(kept), ...(path === '/plots' && !drawn ? { outline: (kept as Shelves['/plots']).outline } : {}) });
}

function outlineOf(one: Stamp): string | undefined {
  return JSON.stringify((one as Partial<Shelves['/plots']>).outline);
}
