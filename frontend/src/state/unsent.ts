// What the program has not taken yet, kept in this device's store until it
// does: a record each, new ones with revision 0.
import type { Stamp } from './server';
import { sendingOrder, type Path } from './shelves';

export interface Unsent {
  path: Path;
  record: Stamp;
}

const prefix = 'evenfall.unsent.';

export class UnsentBox {
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
  put(path: Path, record: Stamp): boolean {
    try {
      this.store.setItem(prefix + record.id, JSON.stringify({ path, record }));
      return true;
    } catch {
      return false;
    }
  }

  drop(id: string): void {
    this.store.removeItem(prefix + id);
  }
}

function read(text: string | null): Unsent[] {
  try {
    const entry = JSON.parse(text ?? '') as Partial<Unsent> & { plot?: Stamp };
    const { path = '/plots', record = entry.plot } = entry; // earlier pages kept plots alone
    return record && sendingOrder.includes(path) ? [{ path, record }] : [];
  } catch {
    return []; // not ours
  }
}
