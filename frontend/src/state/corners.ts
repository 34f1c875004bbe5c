// Changes of corners as changes of lists: which corner, not where on earth.
// Rings repeat their first corner at the end.
import type { CornerRef, LonLat, Outline, Ring } from '../map/adapter';

const fewest = 3; // corners of a ring

function closed(corners: LonLat[]): Ring {
  return [...corners, corners[0]!];
}

function withRing(outline: Outline, ring: number, corners: LonLat[]): Outline {
  return outline.map((old, i) => (i === ring ? closed(corners) : old));
}

const open = (outline: Outline, ring: number): LonLat[] => outline[ring]?.slice(0, -1) ?? [];

export function cornerAt(outline: Outline, keepOff: LonLat[][], ref: CornerRef): LonLat | undefined {
  return ref.of === 'outline' ? outline[ref.ring]?.[ref.corner] : keepOff[ref.ring]?.[ref.corner];
}

export function moveCorner(outline: Outline, ring: number, corner: number, to: LonLat): Outline {
  return withRing(outline, ring, open(outline, ring).map((at, i) => (i === corner ? to : at)));
}

export function addCorner(outline: Outline, ring: number, after: number, at: LonLat): Outline {
  const corners = open(outline, ring);
  return withRing(outline, ring, [...corners.slice(0, after + 1), at, ...corners.slice(after + 1)]);
}

/** Without the corner; a hole that would lose its last triangle goes whole; undefined when the plot itself would. */
export function removeCorner(outline: Outline, ring: number, corner: number): Outline | undefined {
  const corners = open(outline, ring).filter((_, i) => i !== corner);
  if (corners.length >= fewest) return withRing(outline, ring, corners);
  return ring === 0 ? undefined : removeHole(outline, ring);
}

export function removeHole(outline: Outline, ring: number): Outline {
  return outline.filter((_, i) => i !== ring);
}

export function moveLineCorner(line: LonLat[], corner: number, to: LonLat): LonLat[] {
  return line.map((at, i) => (i === corner ? to : at));
}

export function removeLineCorner(line: LonLat[], corner: number): LonLat[] | undefined {
  const rest = line.filter((_, i) => i !== corner);
  return rest.length >= 2 ? rest : undefined;
}
