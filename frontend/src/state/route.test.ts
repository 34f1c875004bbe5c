import { describe, expect, it } from 'vitest';
import { parseRoute } from './route.svelte';

describe('route', () => {
  it.each([
    ['', { page: 'plots' }],
    ['#/', { page: 'plots' }],
    ['#/plot/0191-a', { page: 'plot', id: '0191-a' }],
    ['#/plot/', { page: 'plots' }],
    ['#/new', { page: 'new' }],
    ['#/trip', { page: 'trip' }],
    ['#/seasons/0191-a', { page: 'seasons', id: '0191-a' }],
    ['#/seasons/0191-a/0192-b', { page: 'seasons', id: '0191-a', sheet: '0192-b' }],
    ['#/seasons/', { page: 'plots' }],
    ['#/nonsense', { page: 'plots' }],
  ])('%s', (hash, route) => expect(parseRoute(hash)).toEqual(route));
});
