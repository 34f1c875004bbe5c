// What is counted by hand: cups of a pan test, seeds in a hoop.
import { flushSync, mount, unmount, type Component } from 'svelte';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { faultOf, sampleSheet, type FakeCore } from '../core/fake';
import { core as appCore, server } from '../state/app';
import { Problem } from '../state/server';
import PanTest from './PanTest.svelte';
import StandCount from './StandCount.svelte';

vi.mock('../parts/Curve.svelte', () => ({ default: () => undefined }));
vi.mock('../state/app', async () => {
  const { FakeCore } = await import('../core/fake');
  return { core: new FakeCore(), say: (as: string, value: unknown) => `${String(value)} ${as}`, server: { update: vi.fn() } };
});
const bench = vi.hoisted(() => ({ desk: {} as Record<string, unknown>, live: {} }));
vi.mock('../state/deskContext', () => ({ working: () => bench }));
const core = appCore as unknown as FakeCore;

let mounted: Record<string, unknown> | undefined;
function put(part: Component): HTMLElement {
  document.body.innerHTML = '';
  mounted = mount(part, { target: document.body });
  flushSync();
  return document.body;
}
function type(entry: HTMLInputElement, text: string): void {
  entry.value = text;
  entry.dispatchEvent(new Event('input', { bubbles: true }));
  flushSync();
}
const button = (words: string) => [...document.querySelectorAll('button')].find((b) => b.textContent.includes(words));

beforeEach(() => {
  core.answers = {};
});
afterEach(() => {
  if (mounted) void unmount(mounted);
});

describe('a pan test', () => {
  const machine = (name: string) => ({ name, patterns: { usual: { shape: 'triangle', throw_m: 8 } } });
  const cups = () => [...document.querySelectorAll<HTMLInputElement>('.cups input')];
  const fill = () => cups().forEach((cup, i) => type(cup, String(i + 1)));
  let draft = $state<{ spreaderId: string; spreader: ReturnType<typeof machine> }>({ spreaderId: 'a', spreader: machine('A') });

  beforeEach(() => {
    draft = { spreaderId: 'a', spreader: machine('A') };
    bench.desk = {
      get draft() {
        return draft;
      },
      change: vi.fn(),
    };
  });

  it('stays with the spreader that was tested, and with what it was tested with', async () => {
    put(PanTest);
    fill();
    await vi.waitFor(() => expect(button('Use this pattern')).toBeDefined());
    draft = { spreaderId: 'b', spreader: machine('B') };
    flushSync();
    expect(cups().map((cup) => cup.value).join('')).toBe('');
    expect(button('Use this pattern')).toBeUndefined();
    draft = { spreaderId: 'a', spreader: machine('A') };
    flushSync();
    expect(cups()[2]!.value).toBe('3');
    const goods = document.querySelector('select')!;
    goods.value = 'seed';
    goods.dispatchEvent(new Event('change', { bubbles: true }));
    flushSync();
    expect(cups().map((cup) => cup.value).join('')).toBe('');
  });

  it('offers no pattern that the core refuses', async () => {
    put(PanTest);
    fill();
    await vi.waitFor(() => expect(button('Use this pattern')).toBeDefined());
    core.answers.pattern = () => Promise.reject(faultOf('pans', 'pan 13 caught more than the middle'));
    type(cups().at(-1)!, '900');
    await vi.waitFor(() => expect(document.querySelector('[role=alert]')?.textContent).toContain('Pan 13 caught more'));
    flushSync();
    expect(button('Use this pattern')).toBeUndefined();
  });
});

describe('a count of what came up', () => {
  const saved = { id: 's', revision: 1, date: '2026-05-20', options: {}, result: {} };

  beforeEach(() => {
    bench.live = { prepared: { sheet: sampleSheet() } };
    bench.desk = { plotId: 'p', book: { seasons: new Map([['p', { saved }]]), load: vi.fn() } };
  });
  const entry = () => document.querySelector<HTMLInputElement>('input')!;

  it('is not judged by an entry that is no whole number', async () => {
    put(StandCount);
    type(entry(), '12, 9, 15, 11, 10');
    await vi.waitFor(() => expect(button('Keep this count')).toBeDefined());
    const judged = core.times('judge');
    type(entry(), '12, 9, 15, 11, 1o');
    expect(document.getElementById(entry().getAttribute('aria-describedby')!.split(' ').at(-1)!)?.textContent).toContain('“1o” is no whole number');
    expect(button('Keep this count')).toBeUndefined();
    expect(core.times('judge')).toBe(judged);
  });

  it('is kept on top of what somebody else kept meanwhile', async () => {
    const theirs = { ...saved, revision: 2, done: { date: '2026-05-20', counts: [{ date: '2026-05-19', what: 'seeds of Oats', found: [9], sample_m2: 0.5 }] } };
    const { book } = bench.desk as { book: { seasons: Map<string, unknown>; load: () => Promise<void> } };
    let seasons = $state.raw(book.seasons);
    bench.desk['book'] = {
      get seasons() {
        return seasons;
      },
      load: async () => void (seasons = new Map([['p', { saved: theirs }]])),
    };
    const update = vi.mocked(server.update);
    update.mockRejectedValueOnce(new Problem(412, 'stale', 'someone changed it'));
    put(StandCount);
    type(entry(), '12');
    await vi.waitFor(() => expect(button('Keep this count')).toBeDefined());
    button('Keep this count')!.click();
    await vi.waitFor(() => expect(document.body.textContent).toContain('keep the count once more'));
    update.mockResolvedValueOnce({} as never);
    button('Keep this count')!.click();
    await vi.waitFor(() => expect(update).toHaveBeenCalledTimes(2));
    expect(update.mock.calls[1]![1]).toMatchObject({ revision: 2, done: { counts: [{ found: [9] }, { found: [12] }] } });
  });
});
