// A server that keeps records in memory, for measuring the page without one.
import type { Fetch, Stamp } from '../state/server';

const base = '/api/v1';

/** Answers as the program does, for the records that it is given; what it works
    out of a record that is new is the same for all. */
export function memoryFetch(shelves: Record<string, Stamp[]>, worked: object = {}): Fetch {
  const reply = (body: unknown) => Promise.resolve(new Response(JSON.stringify(body)));
  return (input, init) => {
    const [path = ''] = input.slice(base.length).split('?');
    const [, shelf = '', id] = path.split('/');
    const records = shelves[shelf] ?? [];
    if (init?.method === 'PUT') {
      const kept = { ...(JSON.parse(String(init.body)) as Stamp) };
      if (kept.revision === 0) shelves[shelf] = [...records, Object.assign(kept, worked)];
      else shelves[shelf] = records.map((r) => (r.id === id ? kept : r));
      kept.revision++;
      return reply(kept);
    }
    return reply(id ? records.find((r) => r.id === id) : { items: records, total: records.length });
  };
}
