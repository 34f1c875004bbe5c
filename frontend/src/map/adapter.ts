// What the page asks of a map, whichever library draws it. Everything crosses
// in degrees, longitude first; rings repeat their first corner at the end, as
// in GeoJSON. The map reports what the hand does; it never decides what the
// plot becomes.

export type LonLat = [number, number];
export type Ring = LonLat[];
export type Outline = Ring[];

/** One corner that a person can take hold of. Keep-off lines count from 0 too. */
export interface CornerRef {
  of: 'outline' | 'keep-off';
  ring: number; // of the outline: 0 is the outer ring; of keep-off: which line
  corner: number;
}

export interface KeepOffLine {
  name: string;
  line: LonLat[];
  label: string; // name and distance, as a person reads them
}

/** A pass as the map draws it; the line is flat: lon, lat, lon, lat … */
export interface PassLine {
  order: number;
  line: Float64Array;
  closed: boolean;
  kind: string;
}

export interface Label {
  at: LonLat;
  text: string;
}

/** Ratios to the target on square cells, row 0 the southernmost; NaN is bare. */
export interface EvennessGrid {
  cols: number;
  rows: number;
  ratio: Float32Array;
  southWest: LonLat;
  northEast: LonLat;
}

/** The passes and all that goes with them. A new drive is a new object. */
export interface Drive {
  passes: PassLine[];
  travel: Float64Array[];
  start: LonLat | undefined;
  refills: Label[];
  /** It changes with every move of the hand: the lines will do, the rest would only flicker. */
  fleeting: boolean;
}

/** What is wrong with the outline: where, and the corners that are named, by number. */
export interface Wrong {
  at: LonLat | undefined;
  corners: Label[];
}

/** A cut that is asked about: its line, and what the pieces are called. */
export interface CutPicture {
  line: LonLat[];
  pieces: Label[];
}

export interface GroundPicture {
  outline: Outline;
  keepOff: KeepOffLine[];
  neighbours: Outline[]; // shown faintly, snapped to
  edges: Label[]; // lengths, at the middles of edges
  drive: Drive | undefined;
  evenness: EvennessGrid | undefined;
  wrong: Wrong | undefined;
  cut: CutPicture | undefined;
}

export const emptyPicture: GroundPicture = {
  outline: [],
  keepOff: [],
  neighbours: [],
  edges: [],
  drive: undefined,
  evenness: undefined,
  wrong: undefined,
  cut: undefined,
};

/** What a touch on the ground means at the moment; nothing while a question about what was drawn stands open. */
export type Mode = 'look' | 'corners' | 'outline' | 'hole' | 'keep-off' | 'cut' | 'start' | 'asked';

export type Sketch = 'outline' | 'hole' | 'keep-off' | 'cut';

/** The fewest corners of what is drawn. */
export const fewestCorners: Record<Sketch, number> = { outline: 3, hole: 3, 'keep-off': 2, cut: 2 };

export interface MapEvents {
  /** A line or ring is being drawn: the corners that are placed, in the order
      they were touched, and where the pointer is, unless it lies on the last. */
  sketching: { what: Sketch; placed: LonLat[]; reach: LonLat | undefined };
  /** It is done. Rings come closed. */
  sketched: { what: Sketch; line: LonLat[] };
  /** A corner or an edge is under the finger, moving. */
  dragging: { outline: Outline; keepOff: LonLat[][] };
  /** The finger is lifted. `added` tells a corner made by pulling an edge. */
  dragged: { outline: Outline; keepOff: LonLat[][]; added: boolean };
  corner: CornerRef | undefined;
  /** Where the pointer or finger is. */
  pointer: LonLat;
  touched: LonLat;
}

export interface Ground {
  /** A person's tiles: address with {z}/{x}/{y}, and who must be named. */
  tiles: { url: string; attribution: string } | undefined;
  /** A picture laid between two corners, north up. */
  photo: { url: string; southWest: LonLat; northEast: LonLat } | undefined;
}

export type UnitSystem = 'us' | 'metric';

export interface GroundMap {
  show(picture: GroundPicture): void;
  setMode(mode: Mode): void;
  select(corner: CornerRef | undefined): void;
  setGround(ground: Ground): void;
  setSystem(system: UnitSystem): void;
  /** Reads the colours of the page anew, after day turned to night. */
  recolour(): void;
  /** The marker that drives the passes; undefined takes it away. */
  setMarker(at: LonLat | undefined, headingDegrees: number): void;
  /** Brings everything that is drawn, or the given box, into view. */
  fit(box?: [LonLat, LonLat]): void;
  /** The same after the frame changed, unless a person has moved the view. */
  refit(): void;
  /** A point some metres east and north of another. */
  shifted(from: LonLat, eastM: number, northM: number): LonLat;
  takeBackCorner(): void;
  finishSketch(): void;
  on<K extends keyof MapEvents>(event: K, hear: (value: MapEvents[K]) => void): () => void;
  destroy(): void;
}
