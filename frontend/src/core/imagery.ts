// The page's content policy lets pictures come from this server alone, and from
// the one host whose imagery the user entered. The server learns that host from
// a cookie of this browser and widens the policy of the next page it sends.

const cookie = 'evenfall-imagery';
const year = 365 * 24 * 3600; // seconds

/** The origin that a tile address asks, or none when it is this server's own. */
export function imageryOrigin(address: string, own: string = location.origin): string | undefined {
  let url: URL;
  try {
    // Braces and the like are only in the path and the query.
    url = new URL(address, own);
  } catch {
    return undefined;
  }
  const known = url.protocol === 'https:' || url.protocol === 'http:';
  return known && url.origin !== own ? url.origin : undefined;
}

/**
 * Allows the imagery of an address, or none. Says whether the page has to be
 * loaded again before the policy holds.
 */
export function allowImagery(address: string | undefined): boolean {
  const origin = address === undefined ? undefined : imageryOrigin(address);
  const before = document.cookie.split('; ').find((one) => one.startsWith(`${cookie}=`));
  const value = origin === undefined ? '' : `${cookie}=${encodeURIComponent(origin)}`;
  if ((before ?? '') === value) return false;
  document.cookie = `${value || `${cookie}=`}; Path=/; SameSite=Strict; Max-Age=${value ? year : 0}`;
  return true;
}
