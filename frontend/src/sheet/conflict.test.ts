// What two people made of one plot, as it is shown for a choice.
import { flushSync, mount, unmount } from 'svelte';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { faultOf, sampleOutline, type FakeCore } from '../core/fake';
import type * as record from '../generated/record';
import { core as appCore } from '../state/app';
import type { Conflict } from '../state/outbox.svelte';
import ConflictView from './ConflictView.svelte';

vi.mock('../state/app', async () => {
  const { FakeCore } = await import('../core/fake');
  return { core: new FakeCore(), say: (as: string, value: unknown) => `${String(value)} ${as}` };
});
vi.mock('../state/deskContext', () => ({ working: () => ({ desk: { book: { spreaders: [], mixes: [] } } }) }));
const core = appCore as unknown as FakeCore;

const plot = (own: object) => ({ id: 'p', name: 'Plot', updated_at: '2026-05-01', outline: { type: 'Polygon', coordinates: sampleOutline }, ...own }) as unknown as record.Plot;
let mounted: Record<string, unknown> | undefined;
function show(mine: object, theirs: object): HTMLElement {
  document.body.innerHTML = '';
  const conflict = { path: '/plots', mine: plot(mine), theirs: plot(theirs) } as Conflict;
  mounted = mount(ConflictView, { target: document.body, props: { conflict } });
  flushSync();
  return document.body;
}

beforeEach(() => {
  Element.prototype.scrollIntoView = () => undefined;
  core.answers = {};
});
afterEach(() => {
  if (mounted) void unmount(mounted);
});

describe('two versions of a plot', () => {
  const creek = (...line: [number, number][]) => ({ keep_off: [{ name: 'creek', distance_m: 5, line }] });

  it('differ where a keep-off line was moved', () => {
    const page = show(creek([-95, 44], [-95.001, 44]), creek([-95, 44], [-95.002, 44]));
    const row = [...page.querySelectorAll('tr')].find((one) => one.textContent.includes('keep-off line, creek, corners'))!;
    expect([...row.querySelectorAll('td')].map((cell) => cell.textContent)).toEqual([
      '44.000000 N, 95.000000 W · 44.000000 N, 95.001000 W',
      '44.000000 N, 95.000000 W · 44.000000 N, 95.002000 W',
    ]);
  });

  it('are not called the same while their shapes are still to come', async () => {
    const moved = { outline: { type: 'Polygon', coordinates: [sampleOutline[0]!.map(([lon, lat]) => [lon + 0.001, lat])] } };
    const page = show({}, moved);
    expect(page.textContent).not.toContain('Both say the same.');
    await vi.waitFor(() => expect(page.querySelectorAll('.area')).toHaveLength(2));
    expect(page.textContent).not.toContain('Both say the same.');
    void unmount(mounted!);
    expect(show({}, {}).textContent).toContain('Both say the same.');
  });

  it('are shown when one of them has an outline that is refused', async () => {
    const sound = core.local.bind(core);
    core.answers.local = (outlines) => (outlines[0] === sampleOutline ? Promise.reject(faultOf('self_crossing', 'the edge crosses itself')) : ((core.answers = {}), sound(outlines)));
    const page = show({}, { outline: { type: 'Polygon', coordinates: structuredClone(sampleOutline) } });
    await vi.waitFor(() => expect([...page.querySelectorAll('.area')].map((one) => one.textContent)).toEqual(['The outline cannot be measured. The edge crosses itself', '1011.7 area']));
  });
});
