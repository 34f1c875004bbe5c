// What a person deletes. It is held back for a while, so that it can be taken
// back; then it goes, or lies in this device's store until it can. Nothing goes
// over what somebody else changed meanwhile.
import { inTurn } from './inTurn';
import { Problem, type Server, type Stamp } from './server';
import { sendingOrder, type Path, type Shelves } from './shelves';

export interface Listed {
  path: Path;
  record: Stamp;
}

export interface Removal extends Listed {
  /** What it is, in words: the plot Creek. */
  says: string;
  /** What goes with it. */
  besides: Listed[];
}

export type Going = 'held' | 'sending' | 'waiting';

export interface HearRemovals {
  /** It is not shown any more. */
  hidden(one: Listed): void;
  /** It is there after all. */
  shown(one: Listed): void;
  /** Nothing is left of it. */
  gone(one: Listed): void;
  /** What is shown may be out of date. */
  passed(): void;
}

/** What the outbox knows of a record. */
export interface Known {
  newest(path: Path, record: Stamp): Stamp;
  sending(id: string): boolean;
  wishes(plotId: string): boolean;
}

const holdMs = 15_000; // long enough to read what went and to touch the way back; our own choice
const retryMs = 4000;
const prefix = 'evenfall.going.';

export class Removals {
  /** What is on its way, the oldest first. */
  all = $state.raw<readonly Removal[]>([]);
  going = $state.raw<ReadonlyMap<string, Going>>(new Map());
  /** Everything that is not shown any more, whether it is gone yet or not. */
  ids = $state.raw<ReadonlySet<string>>(new Set());
  /** What could not be deleted, and why. */
  kept = $state.raw<readonly { removal: Removal; problem: Problem }[]>([]);
  private timers = new Map<string, ReturnType<typeof setTimeout>>();
  private ways = new Map<string, () => void>();

  constructor(
    private readonly server: Pick<Server, 'get' | 'list' | 'remove'>,
    private readonly store: Storage | undefined,
    private readonly known: Known,
    private readonly hear: HearRemovals,
  ) {}

  /** Deletes a record; back puts right what else has to be when it is taken back. */
  remove(removal: Removal, back?: () => void): void {
    if (back) this.ways.set(removal.record.id, back);
    this.write(removal);
    this.hold(removal);
  }

  /** Takes up what was not gone when the page was last closed. */
  takeUp(): void {
    for (const one of this.stored()) if (!this.ids.has(one.record.id)) this.hold(one);
  }

  takeBack(id: string): void {
    const one = this.find(id);
    const state = this.going.get(id);
    if (!one || state === 'sending') return;
    this.stay(one);
    this.ways.get(id)?.();
    if (state === 'waiting') this.hear.passed(); // it was tried: what the program has of it is looked up
  }

  /** Tries what waits, as when the network is back. */
  sendOn(): void {
    for (const [id, state] of this.going) if (state === 'waiting') void this.go(id);
  }

  /** The person has read that it is still there. */
  read(id: string): void {
    this.kept = this.kept.filter(({ removal }) => removal.record.id !== id);
  }

  private find(id: string): Removal | undefined {
    return this.all.find((one) => one.record.id === id);
  }

  private hold(one: Removal): void {
    const { id } = one.record;
    this.read(id);
    this.all = [...this.all, one];
    this.ids = new Set([...this.ids, ...partsOf(one).map(({ record }) => record.id)]);
    for (const part of partsOf(one)) this.hear.hidden(part);
    this.stand(id, 'held');
    this.later(id, holdMs);
  }

  private later(id: string, ms: number): void {
    clearTimeout(this.timers.get(id));
    this.timers.set(id, setTimeout(() => void this.go(id), ms));
  }

  private async go(id: string): Promise<void> {
    const one = this.find(id);
    if (!one || this.going.get(id) === 'sending') return;
    if (partsOf(one).some(({ record }) => this.known.sending(record.id))) return this.wait(id);
    this.stand(id, 'sending');
    await inTurn(`sending.${id}`, () => this.send(one));
  }

  private async send(one: Removal): Promise<void> {
    if (this.store && this.store.getItem(prefix + one.record.id) === null && !this.unstored.has(one.record.id)) return this.elsewhere(one);
    try {
      for (const { path, record } of await this.look(one)) await this.server.remove(path, record);
      this.end(one);
      for (const part of partsOf(one)) this.hear.gone(part);
    } catch (error) {
      this.failed(one, error instanceof Problem ? error : new Problem(0, 'unknown', String(error)));
    }
  }

  private failed(one: Removal, problem: Problem): void {
    if (problem.unreachable || problem === notYet) return this.wait(one.record.id);
    this.stay(one);
    this.kept = [...this.kept, { removal: one, problem }];
    this.hear.passed();
  }

  /** Another page of this device sent it, or took it back. */
  private elsewhere(one: Removal): void {
    this.stay(one);
    this.hear.passed();
  }

  /** What is there to delete, each as it was when the person saw it, in the
      order in which it can go. */
  private async look(one: Removal): Promise<Listed[]> {
    const found: Listed[] = [];
    for (const part of partsOf(one).filter(({ path }) => one.path !== '/plots' || path !== '/surveys')) { // a plot takes its surveys along
      const there = await this.there(part);
      if (there) found.push({ path: part.path, record: there });
    }
    if (one.path === '/plots') await this.onlyTold(one);
    if (one.path === '/spreaders' || one.path === '/mixes') await this.unused(one.record.id);
    return found;
  }

  private async there({ path, record }: Listed): Promise<Stamp | undefined> {
    const { revision } = this.known.newest(path, record);
    try {
      const there = await this.server.get<Stamp>(`${path}/${record.id}`);
      if (revision > 0 && there.revision !== revision) throw new Problem(412, 'stale', 'somebody changed it meanwhile', 'look at it, and delete it once more if it still has to go');
      return there;
    } catch (error) {
      if (error instanceof Problem && error.status === 404) return undefined;
      throw error;
    }
  }

  /** No sheet was kept of the plot that the person does not know of. */
  private async onlyTold({ record, besides }: Removal): Promise<void> {
    const sheets = await this.server.list<Stamp>(`/sheets?plot_id=${record.id}`);
    if (sheets.every(({ id }) => besides.some((one) => one.record.id === id))) return;
    throw new Problem(409, 'in_use', 'a sheet of it was kept for the season meanwhile', 'look at its seasons, and delete it once more if it still has to go');
  }

  private async unused(id: string): Promise<void> {
    const plots = await this.server.list<Shelves['/plots']>('/plots');
    const users = plots.filter((plot) => plot.spreader_id === id || plot.mix_id === id);
    if (users.some((plot) => this.known.wishes(plot.id))) throw notYet; // it may be this that is to be sent
    if (users[0]) throw new Problem(409, 'in_use', `${users[0].name} uses it`, 'choose another there first');
  }

  private wait(id: string): void {
    this.stand(id, 'waiting');
    this.later(id, retryMs);
  }

  /** It is there as before. */
  private stay(one: Removal): void {
    this.end(one);
    const back = new Set(partsOf(one).map(({ record }) => record.id));
    this.ids = new Set([...this.ids].filter((id) => !back.has(id)));
    for (const part of partsOf(one).reverse()) this.hear.shown(part);
  }

  private end({ record: { id } }: Removal): void {
    clearTimeout(this.timers.get(id));
    this.all = this.all.filter((one) => one.record.id !== id);
    this.going = new Map([...this.going].filter(([other]) => other !== id));
    this.store?.removeItem(prefix + id);
  }

  private stand(id: string, state: Going): void {
    this.going = new Map(this.going).set(id, state);
  }

  /** What found no room in the store: it lasts until the page is closed. */
  private unstored = new Set<string>();

  private write(one: Removal): void {
    try {
      this.store?.setItem(prefix + one.record.id, JSON.stringify(one));
      this.unstored.delete(one.record.id);
    } catch {
      this.unstored.add(one.record.id);
    }
  }

  private stored(): Removal[] {
    const { store } = this;
    const keys = Array.from({ length: store?.length ?? 0 }, (_, i) => store!.key(i) ?? '');
    return keys.filter((key) => key.startsWith(prefix)).flatMap((key) => read(store!.getItem(key)));
  }
}

/** It has to wait for what is not sent yet. */
const notYet = new Problem(0, 'not_yet', 'something has to be sent first');

/** What goes, in the order in which it can: the record itself last. */
function partsOf({ path, record, besides }: Removal): Listed[] {
  return [...besides, { path, record }];
}

function read(text: string | null): Removal[] {
  try {
    const one = JSON.parse(text ?? '') as Removal;
    return sendingOrder.includes(one.path) && one.record.id && Array.isArray(one.besides) ? [one] : [];
  } catch {
    return []; // not ours
  }
}
