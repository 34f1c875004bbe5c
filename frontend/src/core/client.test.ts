import { describe, expect, it, vi } from 'vitest';
import { CoreFault, Superseded, type PrepareRequest } from './api';
import { createCore } from './client';
import type { Port } from './hand';
import type { Ask, Begin, Notice, Reply } from './wire';

/** A worker that answers when it is told to. */
class StandIn implements Port {
  onmessage: ((event: MessageEvent<Reply | Notice>) => void) | null = null;
  onerror: ((event: ErrorEvent) => void) | null = null;
  asked: Ask[] = [];
  ended = false;

  postMessage(message: Begin | Ask): void {
    if ('module' in message) queueMicrotask(() => this.say({ begun: true }));
    else this.asked.push(message);
  }

  terminate(): void {
    this.ended = true;
  }

  say(said: Reply | Notice): void {
    this.onmessage?.({ data: said } as MessageEvent<Reply | Notice>);
  }

  answer(json: object, f64 = new Float64Array(0)): void {
    const { id } = this.asked.shift()!;
    const rows = { f64, f32: new Float32Array(0), i32: new Int32Array(0) };
    this.say({ id, json: new TextEncoder().encode(JSON.stringify(json)), ...rows, tookMs: 7 });
  }
}

function stand() {
  const workers: StandIn[] = [];
  const core = createCore({
    module: Promise.resolve({} as WebAssembly.Module),
    reader: () => Promise.resolve({} as WebAssembly.Module),
    spawn: () => {
      workers.push(new StandIn());
      return workers.at(-1)!;
    },
  });
  return { core, workers };
}

/** Lets every promise that can go on go on. */
const settled = () => new Promise((resolve) => setTimeout(resolve));

/** What became of a promise, without failing the test while it waits. */
function fate(promise: Promise<unknown>): { value?: unknown; error?: unknown } {
  const found: { value?: unknown; error?: unknown } = {};
  promise.then(
    (value) => (found.value = value),
    (error: unknown) => (found.error = error),
  );
  return found;
}

const request = { options: {} } as PrepareRequest;
const prepared = (name: string) => ({ ok: { sheet: { plot: name }, passes: [], travel: [] } });

describe('the core', () => {
  it('puts the rows of numbers where the answer refers to them', async () => {
    const { core, workers } = stand();
    const shapes = core.local([]);
    await settled();
    workers[0]!.answer({ ok: [{ ringsM: [{ f64: [1, 2] }], boundM: [0, 0, 1, 1] }] }, Float64Array.of(9, 3, 4, 9));
    expect(Array.from((await shapes)[0]!.ringsM[0]!)).toEqual([3, 4]);
  });

  it('rejects with the fault', async () => {
    const { core, workers } = stand();
    const lost = fate(core.split([], []));
    await settled();
    workers[0]!.answer({ fault: { kind: 'invalid', code: 'no_cut', what: 'no', where: { vertex: 2 } } });
    await settled();
    expect(lost.error).toBeInstanceOf(CoreFault);
    expect((lost.error as CoreFault).fault.where?.vertex).toBe(2);
  });

  it('skips the frames between the one under way and the newest', async () => {
    const { core, workers } = stand();
    const fates = [1, 2, 3].map((n) => fate(core.prepare({ ...request, plot: { name: `${n}` } } as PrepareRequest, { quick: true })));
    await settled();
    workers[0]!.answer(prepared('1'));
    await settled();
    expect(fates[1]!.error).toBeInstanceOf(Superseded);
    expect(workers[0]!.asked.map((ask) => (ask.request as PrepareRequest).plot.name)).toEqual(['3']);
    expect((workers[0]!.asked[0]!.request as PrepareRequest).options).toEqual({ quick: true });
    workers[0]!.answer(prepared('3'));
    await settled();
    expect(fates[0]!.value).toMatchObject({ sheet: { plot: '1' }, tookMs: 7 });
    expect(fates[2]!.value).toMatchObject({ sheet: { plot: '3' } });
  });

  it('stops a full search when anything newer is asked', async () => {
    const { core, workers } = stand();
    const full = fate(core.prepare(request));
    await settled();
    await settled();
    expect(workers[1]!.asked).toHaveLength(1);
    const quick = fate(core.prepare(request, { quick: true }));
    await settled();
    expect(full.error).toBeInstanceOf(Superseded);
    expect(workers[1]!.ended).toBe(true);
    expect(workers).toHaveLength(3); // one begins in its place
    workers[0]!.answer(prepared('quick'));
    const again = fate(core.prepare(request));
    await settled();
    workers[2]!.answer(prepared('full'));
    await settled();
    expect(quick.value).toMatchObject({ sheet: { plot: 'quick' } });
    expect(again.value).toMatchObject({ sheet: { plot: 'full' } });
  });

  it('measures in the far worker while that rests, without stopping it', async () => {
    const { core, workers } = stand();
    const full = core.prepare(request);
    await settled();
    await settled();
    workers[1]!.answer(prepared('full'));
    await full;
    const measured = fate(core.measure([[[1, 2], [3, 4], [1, 2]]], { units: 'us' }));
    void core.prepare(request, { quick: true });
    await settled();
    expect(workers[0]!.asked.map((ask) => ask.name)).toEqual(['prepare']);
    expect(workers[1]!.ended).toBe(false);
    const none = { f64: [0, 0] };
    workers[1]!.answer({ ok: { area_m2: 1, edges: { ring: none, corner: none, length_m: none, at: none, text: [] } } });
    await settled();
    expect(measured.value).toMatchObject({ area_m2: 1 });
  });

  it('measures what is drawn without taking the turn of the plot', async () => {
    const { core } = stand();
    const measure = (sketch: boolean) => fate(core.measure([[[1, 2], [3, 4], [1, 2]]], { units: 'us', sketch }));
    const [under, waiting] = [measure(false), measure(false)];
    measure(true);
    const drawn = measure(true);
    await settled();
    expect([under.error, waiting.error, drawn.error]).toEqual([undefined, undefined, undefined]);
    measure(false);
    await settled();
    expect(waiting.error).toBeInstanceOf(Superseded);
    expect(drawn.error).toBeUndefined();
  });

  it('says so when the worker dies, and begins again', async () => {
    const { core, workers } = stand();
    const lost = fate(core.format([], 'us'));
    await settled();
    workers[0]!.say({ ended: 'out of memory' });
    await settled();
    expect((lost.error as CoreFault).fault.code).toBe('core_stopped');
    const next = core.format([], 'us');
    await settled();
    workers[1]!.answer({ ok: ['1 ac'] });
    expect(await next).toEqual(['1 ac']);
  });

  it('says so when it cannot be loaded, a search too', async () => {
    const core = createCore({
      module: Promise.reject(new TypeError('failed to fetch')),
      reader: () => Promise.resolve({} as WebAssembly.Module),
      spawn: () => new StandIn(),
    });
    const full = fate(core.prepare(request));
    await vi.waitFor(() => expect(full.error).toBeInstanceOf(CoreFault));
    expect((full.error as CoreFault).fault).toMatchObject({ code: 'core_stopped', remedy: 'load the page again' });
  });

  it('does not begin for ever', async () => {
    const { core, workers } = stand();
    for (let i = 0; i < 10; i++) {
      workers.at(-1)!.say({ ended: 'again' });
      await settled();
    }
    expect(workers.length).toBeLessThan(6);
    const lost = fate(core.format([], 'us'));
    await settled();
    expect(lost.error).toBeInstanceOf(CoreFault);
  });

  it('reads a file in a worker of its own, and ends it', async () => {
    const { core, workers } = stand();
    const plots = core.readFile(Uint8Array.of(1), { date: '2026-04-30', units: 'us' });
    await settled();
    expect(workers[1]!.asked[0]).toMatchObject({ name: 'readFile', data: Uint8Array.of(1) });
    workers[1]!.answer({ ok: [] });
    expect(await plots).toEqual([]);
    expect(workers[1]!.ended).toBe(true);
  });

  it('measures rings as rows and gives edges back', async () => {
    const { core, workers } = stand();
    const measured = core.measure([[[1, 2], [3, 4], [1, 2]]], { units: 'us' });
    await settled();
    const ask = workers[0]!.asked[0]!;
    expect(ask.request).toEqual({ units: 'us', corners: [3] });
    expect(Array.from(new Float64Array(ask.data!.buffer))).toEqual([1, 2, 3, 4, 1, 2]);
    const none = { f64: [0, 0] };
    workers[0]!.answer({ ok: { area_m2: 1, edges: { ring: { i32: [0, 0] }, corner: { i32: [0, 0] }, length_m: none, at: none, text: [] } } });
    expect((await measured).edges).toEqual([]);
  });
});
