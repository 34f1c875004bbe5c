// What a person enters, and what becomes of it while the page changes around it.
import { createRawSnippet, flushSync, mount, unmount, type Component } from 'svelte';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { CoreFault, type ReadPlot } from '../core/api';
import { sampleOutline, type FakeCore } from '../core/fake';
import { core as appCore } from '../state/app';
import Field from './Field.svelte';
import FileInput from './FileInput.svelte';
import FileIntake from './FileIntake.svelte';
import Fold from './Fold.svelte';
import Press from './Press.svelte';
import QuantityField from './QuantityField.svelte';
import TapeIntake from './TapeIntake.svelte';

vi.mock('../state/app', async () => {
  const { FakeCore } = await import('../core/fake');
  return { core: new FakeCore(), say: (as: string, value: unknown) => `${String(value)} ${as}` };
});
const core = appCore as unknown as FakeCore;

let mounted: Record<string, unknown>[] = [];
function put<P extends Record<string, unknown>>(part: Component<P>, props: P): HTMLElement {
  document.body.innerHTML = '';
  mounted.push(mount(part, { target: document.body, props }));
  flushSync();
  return document.body;
}
function type(entry: HTMLInputElement | HTMLTextAreaElement, text: string): void {
  entry.value = text;
  entry.dispatchEvent(new Event('input', { bubbles: true }));
  flushSync();
}
const leave = (entry: Element) => entry.dispatchEvent(new Event('change', { bubbles: true }));

beforeEach(() => {
  core.answers = {};
});
afterEach(() => {
  for (const one of mounted) void unmount(one);
  mounted = [];
  vi.useRealTimers();
});

describe('a fold', () => {
  it('keeps what was typed in it when it is folded, and holds nothing before it is opened', () => {
    const children = createRawSnippet(() => ({ render: () => '<input>' }));
    const details = put(Fold, { title: 'Pan test', children }).querySelector('details')!;
    const fold = (open: boolean) => {
      details.open = open;
      details.dispatchEvent(new Event('toggle'));
      flushSync();
    };
    expect(details.querySelector('input')).toBeNull();
    fold(true);
    details.querySelector('input')!.value = '12';
    fold(false);
    fold(true);
    expect(details.querySelector('input')!.value).toBe('12');
  });
});

describe('a field of several lines', () => {
  const note = (heard: string[]) =>
    put(Field, { label: 'Notes', value: '', lines: 3, onchange: (text: string) => heard.push(text) }).querySelector('textarea')!;

  it('is heard when the typing rests, where the caret stays, and not again when it is left', () => {
    vi.useFakeTimers();
    const heard: string[] = [];
    const entry = note(heard);
    entry.focus();
    type(entry, 'wet');
    vi.advanceTimersByTime(600);
    type(entry, 'wet corner');
    entry.setSelectionRange(3, 3);
    vi.advanceTimersByTime(600);
    expect(heard).toEqual([]);
    vi.advanceTimersByTime(600);
    expect(heard).toEqual(['wet corner']);
    expect([document.activeElement, entry.selectionStart]).toEqual([entry, 3]);
    leave(entry);
    expect(heard).toEqual(['wet corner']);
    type(entry, 'dry');
    leave(entry);
    vi.advanceTimersByTime(5000);
    expect(heard).toEqual(['wet corner', 'dry']);
  });

  it('is heard when the page goes', () => {
    const heard: string[] = [];
    type(note(heard), 'stumps');
    window.dispatchEvent(new Event('pagehide'));
    expect(heard).toEqual(['stumps']);
  });
});

describe('files', () => {
  it('can be chosen again by the same name', () => {
    const entry = put(FileInput, { onpick: () => undefined }).querySelector('input')!;
    const forgotten = vi.fn();
    Object.defineProperty(entry, 'value', { set: forgotten });
    entry.click();
    expect(forgotten).toHaveBeenCalledWith('');
  });

  it('that are slow to read come not in place of one chosen later', async () => {
    const taken: string[] = [];
    const slow: ((plots: ReadPlot[]) => void)[] = [];
    core.answers.readFile = () => new Promise((done) => slow.push(done));
    const entry = put(FileIntake, { single: true, ontake: (found: { name: string }[]) => taken.push(found[0]!.name) }).querySelector('input')!;
    for (const name of ['large', 'small']) {
      Object.defineProperty(entry, 'files', { configurable: true, value: [{ name, arrayBuffer: async () => new ArrayBuffer(1) }] });
      leave(entry);
    }
    await vi.waitFor(() => expect(slow).toHaveLength(2));
    const plot = (name: string) => ({ name, outline: sampleOutline, survey: {}, notes: [], areaText: '' }) as unknown as ReadPlot;
    slow[1]!([plot('small')]);
    slow[0]!([plot('large')]);
    await new Promise((resolve) => setTimeout(resolve));
    expect(taken).toEqual(['small']);
  });
});

describe('a taped plot', () => {
  it('is not laid along a bearing that cannot be read', async () => {
    const taken: unknown[] = [];
    core.answers.parse = async (items) => items.map(() => ({ value: 30 }));
    const page = put(TapeIntake, { ontake: (found: unknown) => taken.push(found) });
    const named = (label: string) => page.querySelector<HTMLInputElement>(`#${[...page.querySelectorAll('label')].find((l) => l.textContent.startsWith(label))!.htmlFor}`)!;
    for (const side of ['Length', 'Width']) {
      type(named(side), '100 ft');
      leave(named(side));
    }
    const make = () => [...page.querySelectorAll('button')].find((b) => b.textContent.includes('Make the outline'))!;
    await vi.waitFor(() => {
      flushSync();
      expect(make().disabled).toBe(false);
    });
    for (const wrong of ['4S', '400', 'north']) {
      type(named('The first side runs to'), wrong);
      make().click();
      flushSync();
      expect(named('The first side runs to').getAttribute('aria-invalid')).toBe('true');
      expect(page.textContent).toContain('Write degrees from 0 to 360');
    }
    expect(core.times('taped')).toBe(0);
    type(named('The first side runs to'), '45');
    make().click();
    await vi.waitFor(() => expect(taken).toHaveLength(1));
    expect(core.asked.at(-1)).toMatchObject({ method: 'taped', given: [{ bearing: 45 }] });
  });
});

describe('a quantity that the core is still reading', () => {
  /** A field and a button, and what the button saw of the field when it was pressed. */
  function form(): { entry: HTMLInputElement; press: () => void; seen: (number | undefined)[]; page: HTMLElement } {
    let value: number | undefined;
    const seen: (number | undefined)[] = [];
    const page = put(QuantityField, { label: 'A full bag weighs', kind: 'mass' as const, value: undefined, onset: (next: number | undefined) => (value = next) });
    const children = createRawSnippet(() => ({ render: () => '<span>Name it</span>' }));
    mounted.push(mount(Press, { target: document.body, props: { children, onclick: () => seen.push(value) } }));
    flushSync();
    const press = () => page.querySelector('button')!.click();
    return { entry: page.querySelector('input')!, press, seen, page };
  }
  const enter = (entry: HTMLInputElement, text: string) => {
    type(entry, text);
    leave(entry);
  };

  it('is waited for by the button that is pressed next', async () => {
    let read = (): void => undefined;
    core.answers = { parse: () => new Promise((done) => (read = () => done([{ value: 22.7 }]))) };
    const { entry, press, seen } = form();
    press();
    expect(seen).toEqual([undefined]); // nothing is being read: at once
    enter(entry, '50');
    press();
    await new Promise((done) => setTimeout(done));
    expect(seen).toHaveLength(1);
    read();
    await vi.waitFor(() => expect(seen).toEqual([undefined, 22.7]));
  });

  it.each([
    ['is wrong', () => Promise.resolve([{ fault: { kind: 'invalid', code: 'mass', what: '"much" cannot be read as a weight' } as const }])],
    ['gets no answer', () => Promise.reject(new CoreFault({ kind: 'invalid', code: 'core_stopped', what: 'the core stopped', remedy: 'load the page again' }))],
  ])('stops the press and says so when it %s', async (_how, parse) => {
    core.answers = { parse };
    const { entry, press, seen, page } = form();
    enter(entry, 'much');
    press();
    await vi.waitFor(() => {
      flushSync();
      expect(entry.getAttribute('aria-invalid')).toBe('true');
    });
    expect(page.querySelector('.error')!.textContent).toMatch(/cannot be read as a weight|the core stopped: load the page again/);
    await new Promise((done) => setTimeout(done));
    expect(seen).toEqual([]);
  });
});
