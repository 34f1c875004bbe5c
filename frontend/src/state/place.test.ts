import { describe, expect, it } from 'vitest';
import { address } from './degrees';
import { parsePlace } from './place';

describe('place', () => {
  it.each([
    ['44.001250 N, 95.000750 W', [-95.00075, 44.00125]],
    ['-1.5 20', [20, -1.5]],
    ['1 s, 2 e', [2, -1]],
  ])('%s', (text, at) => expect(parsePlace(text)).toEqual(at));
  it.each(['', 'here', '91, 0', '0, 181', '1'])('refuses %j', (text) => expect(parsePlace(text)).toBeUndefined());
  it('reads what the page writes', () => expect(parsePlace(address([-95.5, 44.25]))).toEqual([-95.5, 44.25]));
});
