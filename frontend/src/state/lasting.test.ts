import { expect, it } from 'vitest';
import { lasting, unsaid } from './lasting';

it('keeps the last words until there are others', () => {
  const kept = lasting();
  expect([unsaid, '5 lb', unsaid, '4 lb', unsaid].map(kept)).toEqual([unsaid, '5 lb', '5 lb', '4 lb', '4 lb']);
});
