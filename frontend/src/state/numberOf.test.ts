import { describe, expect, it } from 'vitest';
import { numberOf } from './numberOf';

describe('a bare number', () => {
  it.each([
    ['2', 2],
    [' 1.5 ', 1.5],
    ['1,5', 1.5],
    ['3/4', 0.75],
    ['1 1/2', 1.5],
    ['0', 0],
    ['', undefined],
    ['two', undefined],
    ['1/0', undefined],
    ['-2', undefined],
    ['2 bags', undefined],
  ])('%j', (text, want) => expect(numberOf(text)).toBe(want));
});
