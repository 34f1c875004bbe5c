import { describe, expect, it } from 'vitest';
import { begin, commit, mapHistory, redo, redoLabel, undo, undoLabel } from './history';

describe('history', () => {
  it('goes back and forth without limit', () => {
    let h = begin(0);
    for (let i = 1; i <= 5000; i++) h = commit(h, `to ${i}`, i);
    for (let i = 0; i < 5000; i++) h = undo(h);
    expect(h.present).toBe(0);
    expect(undoLabel(h)).toBeUndefined();
    expect(undo(h)).toBe(h);
    for (let i = 0; i < 5000; i++) h = redo(h);
    expect(h.present).toBe(5000);
    expect(redo(h)).toBe(h);
  });

  it('drops what was undone once something else is done', () => {
    let h = commit(commit(begin('a'), 'b', 'b'), 'c', 'c');
    h = commit(undo(h), 'd', 'd');
    expect(redoLabel(h)).toBeUndefined();
    expect(undo(h).present).toBe('b');
  });

  it('names the step that undo and redo would take', () => {
    const h = commit(begin(1), 'Move a corner', 2);
    expect(undoLabel(h)).toBe('Move a corner');
    expect(redoLabel(undo(h))).toBe('Move a corner');
  });

  it('changes every state alike, and keeps their order', () => {
    let h = begin('a');
    for (const next of ['b', 'c', 'd']) h = commit(h, `to ${next}`, next);
    h = mapHistory(undo(h), (state) => state.toUpperCase());
    expect([h.present, redo(h).present, undo(h).present, undo(undo(h)).present]).toEqual(['C', 'D', 'B', 'A']);
    expect([undoLabel(h), redoLabel(h)]).toEqual(['to c', 'to d']);
  });
});
