// Which page is open, from the address behind the hash, so that the browser's
// own back button works.

export type Route = { page: 'plots' } | { page: 'plot'; id: string } | { page: 'new' };

export function parseRoute(hash: string): Route {
  const [, page, id] = hash.replace(/^#/, '').split('/');
  if (page === 'plot' && id) return { page: 'plot', id: decodeURIComponent(id) };
  if (page === 'new') return { page: 'new' };
  return { page: 'plots' };
}

class Address {
  route = $state.raw<Route>(parseRoute(location.hash));

  constructor() {
    addEventListener('hashchange', () => (this.route = parseRoute(location.hash)));
  }

  go(to: string): void {
    location.hash = to;
  }
}

export const address = new Address();
