// Ids for records that are made where the program cannot be reached. UUIDv7
// (RFC 9562, 5.7): 48 bits of time in milliseconds, then chance, so that ids
// sort by age as the program's own do.

let last = 0;

/**
 * The next id. Two made within one millisecond count up the time (RFC 9562,
 * 6.2), for the order of sending follows the ids.
 */
export function newId(clock: () => number = Date.now): string {
  last = Math.max(clock(), last + 1);
  return idAt(last);
}

export function idAt(now: number, chance: (into: Uint8Array) => Uint8Array = (into) => crypto.getRandomValues(into as Uint8Array<ArrayBuffer>)): string {
  const bytes = chance(new Uint8Array(16));
  for (let i = 0; i < 6; i++) bytes[i] = Math.floor(now / 2 ** (8 * (5 - i))) % 256;
  bytes[6] = (bytes[6]! & 0x0f) | 0x70; // version 7
  bytes[8] = (bytes[8]! & 0x3f) | 0x80; // variant of RFC 9562
  const hex = [...bytes].map((b) => b.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}
