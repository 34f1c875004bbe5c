// Degrees to the map's own metres and back, by the map library. Corners come
// back rounded to 1e-8 degrees, about a millimetre, so that a corner nobody
// touched stays the same number.
import { fromEPSG4326, toEPSG4326 } from 'ol/proj/epsg3857';
import type { LonLat, Outline } from './adapter';

export type XY = [number, number];

const scale = 1e8;

export function toMap(p: LonLat): XY {
  return fromEPSG4326([p[0], p[1]]) as XY;
}

export function toDegrees(p: number[]): LonLat {
  const [lon, lat] = toEPSG4326([p[0]!, p[1]!]) as XY;
  return [Math.round(lon * scale) / scale, Math.round(lat * scale) / scale];
}

export function flatToMap(flat: Float64Array): number[] {
  return fromEPSG4326(Array.from(flat), undefined, 2) as number[];
}

export const lineToMap = (line: LonLat[]): XY[] => line.map(toMap);
export const lineToDegrees = (line: number[][]): LonLat[] => line.map(toDegrees);
export const outlineToMap = (outline: Outline): XY[][] => outline.map(lineToMap);
export const outlineToDegrees = (rings: number[][][]): Outline => rings.map(lineToDegrees);
