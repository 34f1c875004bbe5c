// Which page is open, from the address behind the hash, so that the browser's
// own back button works.

export type Route =
  | { page: 'plots' }
  | { page: 'plot'; id: string }
  | { page: 'new' }
  | { page: 'seasons'; id: string; sheet?: string } // of a plot; the sheet whose job is to be told
  | { page: 'trip' };

export function parseRoute(hash: string): Route {
  const [, page, id, sheet] = hash.replace(/^#/, '').split('/');
  if (page === 'plot' && id) return { page: 'plot', id: decodeURIComponent(id) };
  if (page === 'seasons' && id) return { page: 'seasons', id: decodeURIComponent(id), ...(sheet ? { sheet: decodeURIComponent(sheet) } : {}) };
  if (page === 'new' || page === 'trip') return { page };
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
