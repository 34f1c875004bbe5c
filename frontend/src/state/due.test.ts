import { describe, expect, it } from 'vitest';
import { sampleSheet } from '../core/fake';
import { nextDue } from './due';

describe('due', () => {
  it('names the first window that has not passed', () => {
    const sheet = sampleSheet();
    expect(nextDue(sheet, '2026-05-01')?.what).toBe('stand count');
    expect(nextDue(sheet, '2026-05-29')?.what).toBe('second nitrogen');
    expect(nextDue(sheet, '2026-07-01')).toBeUndefined();
    expect(nextDue(undefined, '2026-07-01')).toBeUndefined();
  });
});
