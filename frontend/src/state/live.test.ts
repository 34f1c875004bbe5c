import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { FakeCore, faultOf, sampleOutline, samplePrepared } from '../core/fake';
import { Superseded, type PrepareRequest } from '../core/api';
import { Live } from './live.svelte';

const request = { plot: { name: 'p' }, options: { date: '2026-05-02' } } as PrepareRequest;

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe('live', () => {
  it('shows a quick plan first and the full search after', async () => {
    const core = new FakeCore();
    const live = new Live(core);
    const done = live.rest(sampleOutline, request, 'us');
    await vi.advanceTimersByTimeAsync(1);
    await done;
    const quick = core.asked.filter((a) => a.method === 'prepare').map((a) => (a.given[1] as { quick?: boolean }).quick);
    expect(quick).toEqual([true, undefined]);
    expect(live.prepared?.quick).toBe(false);
    expect(live.searching).toBe(false);
  });

  it('measures as well as the survey in use did', async () => {
    const core = new FakeCore();
    const walked = { options: {}, plot: { name: 'p', survey: { method: 'walked', date: '2026-05-02', area_m2: 1, uncertainty_m2: 40 } } } as PrepareRequest;
    await new Live(core).drag(sampleOutline, walked, 'us');
    expect(core.asked.find((a) => a.method === 'measure')?.given[1]).toEqual({ units: 'us', surveyM2: 40 });
  });

  it('shows a quick plan of every change before its search, unless the hand showed it already', async () => {
    const core = new FakeCore();
    const live = new Live(core);
    const quick = () => core.asked.filter((a) => a.method === 'prepare').map((a) => (a.given[1] as { quick?: boolean }).quick ?? false);
    void live.rest(sampleOutline, request, 'us');
    await vi.advanceTimersByTimeAsync(500);
    const other = { ...request, plot: { name: 'other' } } as PrepareRequest;
    void live.rest(sampleOutline, other, 'us');
    await vi.advanceTimersByTimeAsync(10);
    expect(quick()).toEqual([true, false, true]);
    await vi.advanceTimersByTimeAsync(500);
    expect(quick()).toEqual([true, false, true, false]);
    const moved = { ...request, plot: { name: 'moved' } } as PrepareRequest;
    await live.drag(sampleOutline, moved, 'us');
    void live.rest(sampleOutline, { ...moved }, 'us');
    await vi.advanceTimersByTimeAsync(500);
    expect(quick().slice(4)).toEqual([true, false]);
  });

  it('only shows the newest answer', async () => {
    const core = new FakeCore();
    const live = new Live(core);
    let release = () => {};
    const late = new Promise<void>((go) => (release = go));
    core.answers.prepare = async () => {
      await late;
      return { ...samplePrepared(true), tookMs: 111 };
    };
    const first = live.drag(sampleOutline, request, 'us');
    core.answers.prepare = async () => ({ ...samplePrepared(true), tookMs: 222 });
    await live.drag(sampleOutline, request, 'us');
    release();
    await first;
    expect(live.prepared?.tookMs).toBe(222);
  });

  it('passes over what was superseded and shows what is wrong', async () => {
    const core = new FakeCore();
    const live = new Live(core);
    core.answers.prepare = async () => Promise.reject(new Superseded());
    await live.drag(sampleOutline, request, 'us');
    expect(live.problem).toBeUndefined();
    core.answers.prepare = async () => Promise.reject(faultOf('crossing', 'the edge crosses itself'));
    await live.drag(sampleOutline, request, 'us');
    expect(live.problem?.what).toBe('the edge crosses itself');
  });

  it('shows no figures of the outline before when one cannot be measured', async () => {
    const core = new FakeCore();
    const live = new Live(core);
    await live.drag(sampleOutline, undefined, 'us');
    expect(live.measured?.areaText).toBeTruthy();
    const { measure } = core.answers;
    core.answers.measure = async () => Promise.reject(faultOf('self_crossing', 'the edges meet'));
    await live.drag(sampleOutline, undefined, 'us');
    expect(live.measured).toBeUndefined();
    expect(live.problem?.what).toBe('the edges meet');
    if (measure) core.answers.measure = measure;
    else delete core.answers.measure;
    await live.drag(sampleOutline, undefined, 'us');
    expect(live.measured?.areaText).toBeTruthy();
    expect(live.problem).toBeUndefined();
  });

  it('says so when the search takes more than half a second', async () => {
    const core = new FakeCore();
    const live = new Live(core);
    core.answers.prepare = (_r, o) =>
      new Promise((go) => setTimeout(() => go(samplePrepared(o?.quick)), o?.quick ? 5 : 900));
    const done = live.rest(sampleOutline, request, 'us');
    await vi.advanceTimersByTimeAsync(600);
    expect(live.slow).toBe(true);
    await vi.advanceTimersByTimeAsync(600);
    await done;
    expect(live.slow).toBe(false);
  });
});
