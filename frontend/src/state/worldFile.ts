// World files: six lines that lay a picture on the ground. Only pictures that
// are north up and in degrees can be laid without another program.

export interface Box {
  west: number;
  south: number;
  east: number;
  north: number;
}

/** The edges of the picture; undefined when it is turned or not in degrees. */
export function parseWorldFile(text: string, width: number, height: number): Box | undefined {
  const numbers = text.trim().split(/\s+/).map(Number);
  if (numbers.length !== 6 || !numbers.every(Number.isFinite)) return undefined;
  const [dx, turnA, turnB, dy, x, y] = numbers as [number, number, number, number, number, number];
  if (turnA !== 0 || turnB !== 0 || dx <= 0 || dy >= 0) return undefined;
  // x and y are the middle of the upper left pixel.
  const west = x - dx / 2;
  const north = y - dy / 2;
  const box = { west, north, east: west + dx * width, south: north + dy * height };
  const inDegrees = Math.abs(west) <= 180 && Math.abs(box.east) <= 180 && Math.abs(north) <= 90 && Math.abs(box.south) <= 90;
  return inDegrees ? box : undefined;
}
