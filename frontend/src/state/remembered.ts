// What this device last read of the notebook, for when the program does not
// answer. It is a copy: losing it loses nothing that the program has.

export interface Remembered {
  read<T>(key: string): Promise<T | undefined>;
  write(key: string, value: unknown): Promise<void>;
}

const shelf = 'pages';

/** The device's own database. Pages are kept as text: what the page shows may
    hold watched values, which cannot be stored as they are. */
export class DeviceMemory implements Remembered {
  private opened: Promise<IDBDatabase> | undefined;

  constructor(private readonly name = 'evenfall') {}

  async read<T>(key: string): Promise<T | undefined> {
    const text = await this.ask<string | undefined>('readonly', (pages) => pages.get(key) as IDBRequest<string | undefined>);
    return text === undefined ? undefined : (JSON.parse(text) as T);
  }

  async write(key: string, value: unknown): Promise<void> {
    await this.ask('readwrite', (pages) => pages.put(JSON.stringify(value), key));
  }

  private async ask<T>(mode: IDBTransactionMode, ask: (pages: IDBObjectStore) => IDBRequest<T>): Promise<T> {
    const database = await (this.opened ??= this.open());
    return answered(ask(database.transaction(shelf, mode).objectStore(shelf)));
  }

  private open(): Promise<IDBDatabase> {
    const request = indexedDB.open(this.name, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(shelf);
    return answered(request);
  }
}

function answered<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error ?? new Error('the device does not answer'));
  });
}
