import { describe, expect, it } from 'vitest';
import { address } from './degrees';

describe('address', () => {
  it.each([
    [[-95.00075, 44.00125], '44.001250 N, 95.000750 W'],
    [[10, -0.5], '0.500000 S, 10.000000 E'],
    [[181, 1], '1.000000 N, 179.000000 W'],
  ] as const)('%s', (at, words) => expect(address([...at])).toBe(words));
});
