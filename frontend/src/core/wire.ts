// What crosses between the page and the workers that run the core.
import { CoreFault, type Fix, type fault } from './api';

/** The first message to a worker: the compiled core. */
export interface Begin {
  module: WebAssembly.Module;
}

/** What the compiler says of the core that it was sent for. */
export type Compiled = { module: WebAssembly.Module } | { failed: string };

export interface Ask {
  id: number;
  name: string;
  request: unknown;
  data: Uint8Array | undefined;
}

/** `json` holds the answer; the rows of numbers that it refers to stand beside it. */
export interface Reply {
  id: number;
  json: Uint8Array;
  f64: Float64Array;
  f32: Float32Array;
  i32: Int32Array;
  tookMs: number;
}

/** The core has begun, or it has ended and the worker is of no more use. */
export type Notice = { begun: true } | { ended: string };

const text = new TextDecoder();

/** The answer with its rows of numbers in place, or the fault thrown. */
export function opened<T>(reply: Reply): T {
  const answer = JSON.parse(text.decode(reply.json)) as { ok?: unknown; fault?: fault.Error };
  if (answer.fault) throw new CoreFault(answer.fault);
  return withRows(answer.ok, reply) as T;
}

/** Puts a view of its row in place of every reference to one. */
function withRows(value: unknown, rows: Reply): unknown {
  if (typeof value !== 'object' || value === null) return value;
  if (Array.isArray(value)) return value.map((one) => withRows(one, rows));
  const row = rowOf(value as Record<string, unknown>, rows);
  if (row) return row;
  const out: Record<string, unknown> = {};
  for (const [key, one] of Object.entries(value)) {
    out[key] = key === 'sheet' ? one : withRows(one, rows); // a sheet refers to no rows
  }
  return out;
}

function rowOf(value: Record<string, unknown>, rows: Reply): ArrayBufferView | undefined {
  for (const kind of ['f64', 'f32', 'i32'] as const) {
    const at = value[kind] as [number, number] | undefined;
    if (at) return rows[kind].subarray(at[0], at[0] + at[1]);
  }
  return undefined;
}

/** A flat copy of rings, for the core to read as data. */
export function flattened(rings: [number, number][][]): Uint8Array {
  const flat = new Float64Array(2 * rings.reduce((sum, ring) => sum + ring.length, 0));
  let at = 0;
  for (const ring of rings) {
    for (const [lon, lat] of ring) {
      flat[at++] = lon;
      flat[at++] = lat;
    }
  }
  return new Uint8Array(flat.buffer);
}

/** A flat copy of a walk: longitude, latitude, seconds, accuracy. */
export function flatWalk(fixes: readonly Fix[]): Uint8Array {
  const flat = Float64Array.from(fixes.flatMap(({ lonLat, seconds, accuracyM }) => [...lonLat, seconds, accuracyM]));
  return new Uint8Array(flat.buffer);
}
