import { describe, expect, it } from 'vitest';
import { squareSideM } from './paper';

describe('paper grid', () => {
  it('uses round feet or metres that a finger can tell apart', () => {
    expect(squareSideM(0.1, 'metric')).toBe(5);
    expect(squareSideM(0.1, 'us') / 0.3048).toBeCloseTo(10);
    expect(squareSideM(1, 'metric')).toBe(50);
  });
});
