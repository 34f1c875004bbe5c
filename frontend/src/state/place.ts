// Reads a position as `address` writes it, or as two plain numbers, latitude
// first.
import type { LonLat } from '../map/adapter';

const form = /^\s*(-?\d+(?:\.\d+)?)\s*°?\s*([NSns])?\s*[,;\s]\s*(-?\d+(?:\.\d+)?)\s*°?\s*([EWew])?\s*$/;

export function parsePlace(text: string): LonLat | undefined {
  const found = form.exec(text);
  if (!found) return undefined;
  const lat = Number(found[1]) * (/s/i.test(found[2] ?? '') ? -1 : 1);
  const lon = Number(found[3]) * (/w/i.test(found[4] ?? '') ? -1 : 1);
  return Math.abs(lat) <= 90 && Math.abs(lon) <= 180 ? [lon, lat] : undefined;
}
