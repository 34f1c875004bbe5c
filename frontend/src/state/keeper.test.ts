import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Keeper, type Keeping } from './keeper';
import { Problem, type Stamp } from './server';

interface Note extends Stamp {
  text: string;
}

const stamp = { id: 'n', created_at: '', updated_at: '' };
const note = (revision: number, text: string): Note => ({ ...stamp, revision, text });

/** A server that keeps one note and refuses passed revisions. */
class OneNote {
  kept = note(1, 'first');
  reachable = true;
  sent: string[] = [];

  async update<T extends Stamp>(_path: string, sent: T): Promise<T> {
    await Promise.resolve();
    if (!this.reachable) throw new Problem(0, 'unreachable', 'no answer');
    if (sent.revision !== this.kept.revision) throw new Problem(412, 'stale', 'changed');
    const text = (sent as unknown as Note).text;
    if (text === '') throw new Problem(422, 'text', 'empty', 'write something');
    this.sent.push(text);
    this.kept = note(sent.revision + 1, text);
    return this.kept as unknown as T;
  }

  async get<T>(): Promise<T> {
    return this.kept as unknown as T;
  }
}

function setUp() {
  const server = new OneNote();
  const states: Keeping[] = [];
  const conflicts: Note[] = [];
  const keeper = new Keeper<Note>(server, '/notes', server.kept, {
    state: (state) => states.push(state),
    kept: () => {},
    conflict: (theirs) => conflicts.push(theirs),
  });
  const write = (text: string) => keeper.keep((kept) => ({ ...kept, text }));
  return { server, states, conflicts, keeper, write };
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe('keeper', () => {
  it('sends one change at a time and the newest last', async () => {
    const { server, write, keeper, states } = setUp();
    write('a');
    write('b');
    write('c');
    await vi.runAllTimersAsync();
    expect(server.sent.at(0)).toBe('a');
    expect(server.sent.at(-1)).toBe('c');
    expect(keeper.pending).toBe(false);
    expect(states.at(-1)).toBe('kept');
  });

  it('keeps the change until the server answers again', async () => {
    const { server, write, states } = setUp();
    server.reachable = false;
    write('offline');
    await vi.advanceTimersByTimeAsync(10);
    expect(states.at(-1)).toBe('waiting');
    server.reachable = true;
    await vi.advanceTimersByTimeAsync(5000);
    expect(server.kept.text).toBe('offline');
  });

  it('overwrites nothing that someone else changed, and hands out both', async () => {
    const { server, write, states, conflicts } = setUp();
    server.kept = note(5, 'theirs');
    write('ours');
    await vi.runAllTimersAsync();
    expect(server.kept.text).toBe('theirs');
    expect(states.at(-1)).toBe('conflict');
    expect(conflicts).toEqual([note(5, 'theirs')]);
  });

  it('gives way when theirs is chosen', async () => {
    const { server, write, keeper, conflicts } = setUp();
    server.kept = note(5, 'theirs');
    write('ours');
    await vi.runAllTimersAsync();
    keeper.giveWay(conflicts[0]!);
    expect(keeper.pending).toBe(false);
    write('later');
    await vi.runAllTimersAsync();
    expect(server.kept).toEqual(note(6, 'later'));
  });

  it('stops at a refusal until there is another change', async () => {
    const { server, write, states } = setUp();
    write('');
    await vi.runAllTimersAsync();
    expect(states.at(-1)).toBe('refused');
    write('better');
    await vi.runAllTimersAsync();
    expect(server.kept.text).toBe('better');
  });
});
