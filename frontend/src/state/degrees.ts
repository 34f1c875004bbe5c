// Positions as people write them.
import type { LonLat } from '../map/adapter';

/** 44.00125 N, 95.00075 W: six decimals are a hand's breadth. */
export function address([lon, lat]: LonLat): string {
  const turned = ((((lon + 180) % 360) + 360) % 360) - 180;
  return `${Math.abs(lat).toFixed(6)} ${lat < 0 ? 'S' : 'N'}, ${Math.abs(turned).toFixed(6)} ${turned < 0 ? 'W' : 'E'}`;
}
