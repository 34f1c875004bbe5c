// What the program has not taken yet, kept in this device's store until it
// does: a record each, new ones with revision 0.
import type { Stamp } from './server';
import { sendingOrder, type Path } from './shelves';

export interface Unsent {
  path: Path;
  record: Stamp;
  /** What the program had of it when it was changed, where that is known. */
  base?: Stamp;
  /** A person drew the plot's outline here; else it is left as the program has it. */
  drawn: boolean;
}

const prefix = 'evenfall.unsent.';

export class UnsentBox {
  /** What this page last wrote or took up of a record; other pages of the
      device write and drop in the same store. */
  private known = new Map<string, string>();

  constructor(private readonly store: Storage) {}

  /** Everything in it, in the order in which it can be sent. */
  all(): Unsent[] {
    const found: Unsent[] = [];
    for (let i = 0; i < this.store.length; i++) {
      const key = this.store.key(i)!;
      if (key.startsWith(prefix)) found.push(...read(this.store.getItem(key)));
    }
    const rank = ({ path, record }: Unsent) => `${sendingOrder.indexOf(path)} ${record.id}`;
    return found.sort((a, b) => (rank(a) < rank(b) ? -1 : 1));
  }

  /** Keeps a record; false when the device has no room for it. */
  put({ record, ...entry }: Unsent): boolean {
    try {
      const text = JSON.stringify({ ...entry, record });
      this.store.setItem(prefix + record.id, text);
      this.known.set(record.id, text);
      return true;
    } catch {
      return false;
    }
  }

  /** Takes a record up as it lies here. */
  takeUp(id: string): Unsent | undefined {
    const text = this.store.getItem(prefix + id);
    if (text !== null) this.known.set(id, text);
    return read(text)[0];
  }

  /** What another page did with a record since this one wrote or took it up. */
  elsewhere(id: string): 'changed' | 'dropped' | undefined {
    const [text, known] = [this.store.getItem(prefix + id), this.known.get(id)];
    if (known === undefined || text === known) return undefined;
    return text === null ? 'dropped' : 'changed';
  }

  /** Drops a record, unless another page has changed it since. */
  drop(id: string): void {
    if (!this.elsewhere(id)) this.store.removeItem(prefix + id);
    this.known.delete(id);
  }
}

function read(text: string | null): Unsent[] {
  try {
    const entry = JSON.parse(text ?? '') as Partial<Unsent> & { plot?: Stamp };
    const { path = '/plots', record = entry.plot, drawn = true, base } = entry; // earlier pages kept plots alone
    return record && sendingOrder.includes(path) ? [{ path, record, drawn, ...(base ? { base } : {}) }] : [];
  } catch {
    return []; // not ours
  }
}
