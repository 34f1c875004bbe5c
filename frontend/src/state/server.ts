// The door to the server's interface for programs. Records carry a revision;
// a change names the one it was made from, and a passed revision comes back as
// a stale problem instead of overwriting what someone else did.

export const base = '/api/v1';

export interface Stamp {
  id: string;
  revision: number;
  created_at: string;
  updated_at: string;
}

export interface Place {
  feature?: number;
  ring?: number;
  vertex?: number;
  line?: number;
  lon_lat?: number[];
  field?: string;
}

/** A problem document of the server (RFC 9457), or no answer at all. */
export class Problem extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    detail: string,
    readonly remedy = '',
    readonly where: Place = {},
  ) {
    super(detail);
    this.name = 'Problem';
  }

  get stale(): boolean {
    return this.status === 412;
  }

  get unreachable(): boolean {
    return this.status === 0 || this.status === 408 || this.status === 429 || this.status > 501; // also somebody on the way
  }

  get sentence(): string {
    return this.remedy ? `${this.message}: ${this.remedy}` : this.message;
  }
}

export type Fetch = (input: string, init?: RequestInit) => Promise<Response>;

interface Page<T> {
  items: T[];
  total: number;
  next?: string;
}

/** Longer than anything is worked on; after it a network counts as silent, for
    some swallow what is sent. Our own choice. */
const patienceMs = 90_000;

export class Server {
  constructor(private readonly fetch: Fetch = (input, init) => globalThis.fetch(input, init)) {}

  async list<T>(path: string): Promise<T[]> {
    const all: T[] = [];
    let next: string | undefined = `${base}${path}`;
    while (next) {
      const page: Page<T> = await this.json<Page<T>>(next);
      all.push(...page.items);
      next = page.next;
    }
    return all;
  }

  get<T>(path: string): Promise<T> {
    return this.json<T>(`${base}${path}`);
  }

  /** Keeps a record: a change made from its revision, or, at revision 0, a new
      one that was made on this device and is not there yet. */
  update<T extends Stamp>(path: string, record: T): Promise<T> {
    const condition: Record<string, string> = record.revision === 0 ? { 'If-None-Match': '*' } : { 'If-Match': `"${record.revision}"` };
    return this.send<T>('PUT', `${path}/${record.id}`, record, condition);
  }

  /** What a record should learn; the answer has it as it is then. */
  teach<T>(path: string, record: Stamp, lesson: object): Promise<T> {
    return this.send<T>('POST', path, lesson, { 'If-Match': `"${record.revision}"` });
  }

  async remove(path: string, record: Stamp): Promise<void> {
    await this.ask(`${base}${path}/${record.id}`, {
      method: 'DELETE',
      headers: { 'If-Match': `"${record.revision}"` },
    });
  }

  private async json<T>(url: string): Promise<T> {
    const reply = await this.ask(url, { headers: { Accept: 'application/json' } });
    return (await reply.json()) as T;
  }

  private async send<T>(method: string, path: string, record: object, headers: Record<string, string> = {}): Promise<T> {
    const reply = await this.ask(`${base}${path}`, {
      method,
      headers: { 'Content-Type': 'application/json', ...headers },
      body: JSON.stringify(record),
    });
    return (await reply.json()) as T;
  }

  private async ask(url: string, init: RequestInit): Promise<Response> {
    let reply: Response;
    try {
      reply = await this.fetch(url, { ...init, signal: AbortSignal.timeout(patienceMs) });
    } catch {
      throw new Problem(0, 'unreachable', 'the program does not answer', 'look whether there is a signal, and try again');
    }
    if (!reply.ok) throw await problemOf(reply);
    return reply;
  }
}

async function problemOf(reply: Response): Promise<Problem> {
  const body = (await reply.json().catch(() => ({}))) as {
    code?: string;
    detail?: string;
    title?: string;
    remedy?: string;
    where?: Place;
  };
  return new Problem(reply.status, body.code ?? 'http', body.detail ?? body.title ?? reply.statusText, body.remedy, body.where);
}
