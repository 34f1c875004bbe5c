import { describe, expect, it } from 'vitest';
import { parseRoute } from './route.svelte';

describe('route', () => {
  it.each([
    ['', { page: 'plots' }],
    ['#/', { page: 'plots' }],
    ['#/plot/0191-a', { page: 'plot', id: '0191-a' }],
    ['#/plot/', { page: 'plots' }],
    ['#/new', { page: 'new' }],
    ['#/nonsense', { page: 'plots' }],
  ])('%s', (hash, route) => expect(parseRoute(hash)).toEqual(route));
});
