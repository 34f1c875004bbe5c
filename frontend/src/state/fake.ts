// A program that keeps records, and a device that remembers, for tests.
import type * as record from '../generated/record';
import type { Remembered } from './remembered';
import type { Stamp } from './server';

/** A program with shelves: it keeps what names only what is kept, refuses passed
    revisions and second records of one id, and can fall silent. */
export class Program {
  shelves: Record<string, Stamp[]> = { properties: [], plots: [], surveys: [], spreaders: [], mixes: [], sheets: [] };
  silent = false;
  /** It does what it is asked, and the answer is lost. */
  loseAnswers = false;
  log: string[] = [];
  /** How long each of the next changes is under way, milliseconds. */
  delays: number[] = [];
  /** The shelf that takes nothing new. */
  refuses = '';

  fetch = async (input: string, init?: RequestInit): Promise<Response> => {
    await Promise.resolve();
    if (this.silent) throw new TypeError('no network');
    const [path = '', query = ''] = input.slice('/api/v1'.length).split('?');
    const [, shelf = '', id = ''] = path.split('/');
    const delay = init?.method ? this.delays.shift() : undefined;
    if (delay) await new Promise((done) => setTimeout(done, delay));
    const reply = this.answer(shelf, id, init, new URLSearchParams(query).get('plot_id'));
    if (this.loseAnswers && init?.method) throw new TypeError('no network');
    return reply;
  };

  private answer(shelf: string, id: string, init: RequestInit | undefined, ofPlot: string | null): Response {
    const all = this.shelves[shelf]!;
    const there = all.find((one) => one.id === id);
    const reply = (status: number, body: unknown) => new Response(JSON.stringify(body), { status });
    if (init?.method === 'DELETE') return this.removed(shelf, there, init.headers as Record<string, string>);
    if (!init?.method) {
      const items = all.filter((one) => ofPlot === null || (one as record.Survey).plot_id === ofPlot);
      return id ? reply(there ? 200 : 404, there) : reply(200, { items, total: items.length });
    }
    const sent = JSON.parse(String(init.body)) as Stamp & { name?: string; property_id?: string; plot_id?: string; in_use?: boolean; outline?: unknown };
    const headers = init.headers as Record<string, string>;
    const fits = headers['If-None-Match'] ? !there : there && headers['If-Match'] === `"${there.revision}"`;
    if (!fits) return reply(412, { code: 'stale' });
    if (shelf === this.refuses) return reply(422, { code: 'refused' });
    const ids = Object.values(this.shelves).flatMap((s) => s.map((one) => one.id));
    if ([sent.property_id, sent.plot_id].some((named) => named && !ids.includes(named))) return reply(422, { code: 'reference' });
    if (sent.name === '') return reply(422, { code: 'name', detail: 'the name is empty', where: { field: 'name' } });
    const kept = { ...sent, id, revision: (there?.revision ?? 0) + 1, updated_at: '2026-11-25T00:00:00Z' };
    this.shelves[shelf] = there ? all.map((one) => (one === there ? kept : one)) : [...all, kept];
    this.log.push(`${there ? 'changed' : 'made'} ${shelf} ${sent.name ?? ''}`.trim());
    const plot = this.shelves['plots']!.find((one) => one.id === sent.plot_id) as record.Plot | undefined;
    if (plot && sent.in_use) Object.assign(plot, { outline: sent.outline, revision: plot.revision + 1 });
    return reply(200, kept);
  }

  /** A plot takes its surveys along, and stays while sheets are of it. */
  private removed(shelf: string, there: Stamp | undefined, headers: Record<string, string>): Response {
    const reply = (status: number, body?: object) => new Response(body ? JSON.stringify(body) : null, { status });
    if (!there) return reply(404, { code: 'missing' });
    if (headers['If-Match'] !== `"${there.revision}"`) return reply(412, { code: 'stale' });
    const ofIt = (name: string) => this.shelves[name]!.filter((one) => (one as record.Survey).plot_id === there.id);
    if (shelf === 'plots' && ofIt('sheets').length) return reply(409, { code: 'in_use' });
    this.shelves['surveys'] = this.shelves['surveys']!.filter((one) => !ofIt('surveys').includes(one));
    this.shelves[shelf] = this.shelves[shelf]!.filter((one) => one !== there);
    this.log.push(`deleted ${shelf} ${(there as record.Property).name ?? ''}`.trim());
    return reply(204);
  }
}

export class Notes implements Remembered {
  pages = new Map<string, string>();
  read<T>(key: string): Promise<T | undefined> {
    const text = this.pages.get(key);
    return Promise.resolve(text === undefined ? undefined : (JSON.parse(text) as T));
  }
  write(key: string, value: unknown): Promise<void> {
    this.pages.set(key, JSON.stringify(value));
    return Promise.resolve();
  }
}
