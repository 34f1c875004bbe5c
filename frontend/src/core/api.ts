// What the page asks of the live core: geo and agronomy, compiled to
// WebAssembly and run in workers. The page computes no geometry and no
// agronomy of its own, and writes no quantity itself: it asks here.
//
// Every method answers with a promise. It rejects with
//   CoreFault   the input is wrong; `fault` says what, where and what to do;
//   Superseded  a newer request of the same kind took its place: ignore it.
// Figures are SI unless a name says otherwise; positions are degrees of
// longitude and latitude in that order; rings repeat their first corner at the
// end, as in GeoJSON. Offsets named `…M` are metres east and north of the
// plot's origin.
//
// Use `createCore()` of ./client in the page, and `FakeCore` of ./fake in unit
// tests.
import type * as agronomy from '../generated/agronomy';
import type * as catalog from '../generated/catalog';
import type * as coverage from '../generated/coverage';
import type * as fault from '../generated/fault';
import type * as finished from '../generated/finished';
import type * as geo from '../generated/geo';
import type * as mix from '../generated/mix';
import type * as soil from '../generated/soil';
import type * as source from '../generated/source';
import type * as spreader from '../generated/spreader';
import type * as stand from '../generated/stand';
import type * as trip from '../generated/trip';
import type * as units from '../generated/units';

export type LonLat = [number, number];
export type Ring = LonLat[];
/** Outer ring first, then the holes. */
export type Outline = Ring[];
export type System = units.System;

/** The input is wrong. `fault.where` names the ring, corner, line or field. */
export class CoreFault extends Error {
  readonly fault: fault.Error;
  constructor(found: fault.Error) {
    super(found.what);
    this.name = 'CoreFault';
    this.fault = found;
  }
}

/** A newer request took this one's place; nobody waits for the answer. */
export class Superseded extends Error {
  constructor() {
    super('a newer request took its place');
    this.name = 'Superseded';
  }
}

// ---------------------------------------------------------------- the ground

export interface Measurement {
  area_m2: number;
  perimeter_m: number;
  /** One standard deviation of the area. */
  uncertainty_m2: number;
  /** Words in the asked units, ready to show. */
  areaText: string;
  perimeterText: string;
  giveOrTakeText: string;
  /** Every edge of every ring, in order; an edge starts at its corner. */
  edges: EdgeLength[];
}

export interface EdgeLength {
  ring: number; // 0 is the outer ring
  corner: number; // the edge runs from this corner to the next
  length_m: number;
  text: string;
  at: LonLat; // its middle
}

export interface MeasureOptions {
  units: System;
  /** Standard deviation of a corner per axis, metres; 1 m when left out. */
  cornerM?: number;
  /** Standard deviation of the area, square metres, where a survey found it. */
  surveyM2?: number;
  /** The ring is still being drawn: edges only, no area, no closing edge. */
  open?: boolean;
  /** It is being drawn: asked apart from the plot that is there, so that neither takes the other's turn. */
  sketch?: boolean;
}

/** A plot laid flat, for silhouettes at one common scale. */
export interface LocalShape {
  /** One flat array per ring: east, north, east, north … metres. */
  ringsM: Float64Array[];
  /** Lowest east, lowest north, highest east, highest north. */
  boundM: [number, number, number, number];
  origin: LonLat;
}

/** One plot found in a file, with how it was measured. */
export interface ReadPlot {
  name: string;
  outline: Outline;
  survey: geo.Survey;
  notes: string[];
  areaText: string;
}

export interface ReadOptions {
  /** Day of the survey where the file does not say, YYYY-MM-DD. */
  date: string;
  units: System;
  /** Cut a MultiPolygon into plots instead of refusing it. */
  split?: boolean;
  /** The line was walked this far inside (positive) or outside (negative) the edge. */
  offsetM?: number;
}

/** What a cut leaves on one side. */
export interface Piece {
  outline: Outline;
  area_m2: number;
  /** Where its name may stand. */
  inside: LonLat;
}

/** One position of a walk. */
export interface Fix {
  lonLat: LonLat;
  /** Since any moment, the same for all of a walk. */
  seconds: number;
  /** Radius that holds the true place in 68 of 100 cases; 0 when the receiver does not say. */
  accuracyM: number;
}

/** How far a walk has come. Its words are empty before the first position. */
export interface Trail {
  /** East, north, east, north … metres from the first position. */
  lineM: Float64Array;
  /** Lowest east, lowest north, highest east, highest north. */
  boundM: [number, number, number, number];
  walkedText: string;
  toStartText: string;
  /** Of the newest position. */
  accuracyText: string;
  /** The newest position is too vague to count. */
  vague: boolean;
}

/** What a person measured with a tape or by pacing. Lengths are metres. */
export type Taped =
  | { shape: 'rectangle'; length_m: number; width_m: number }
  | { shape: 'triangle'; a_m: number; b_m: number; c_m: number }
  | { shape: 'circle'; diameter_m: number }
  | { shape: 'baseline'; offsets: BaselineOffset[] };

/** At `along_m` on the baseline the plot reaches so far to either side of it. */
export interface BaselineOffset {
  along_m: number;
  left_m: number;
  right_m: number;
}

export interface TapedRequest {
  taped: Taped;
  /** Middle of the outline's box. */
  at: LonLat;
  /** Direction of the first side or of the baseline, degrees from north. */
  bearing?: number;
  /** One standard deviation of a length over the length; 1 % when left out. */
  tapeError?: number;
  method?: 'taped' | 'paced' | 'guessed';
  /** How long a pace is, where the lengths are counted in paces instead of metres. */
  paceM?: number;
  date: string;
  units: System;
}

export interface TapedAnswer {
  outline: Outline;
  survey: geo.Survey;
  areaText: string;
  /** The lengths in the form that a survey keeps. */
  dimensions: { shape: string; lengths_m: number[] };
}

// ----------------------------------------------------------------- the sheet

/** The same body as the server's `POST /api/v1/sheet`. */
export interface PrepareRequest {
  plot: {
    name: string;
    property?: string;
    outline: { type: 'Polygon'; coordinates: Outline };
    /** The survey in use; its area is worked out anew from the outline. */
    survey?: geo.Survey;
    surveys?: geo.Survey[];
    keep_off?: agronomy.KeepOff[];
  }
  spreader: spreader.Spreader;
  mix: mix.Mix;
  options: agronomy.Options;
  /** Entries and figures that the person added to the catalog. */
  own?: catalog.Own;
}

/**
 * A sheet with its lines and its raster beside it: in `sheet`, every
 * `drive.passes[i].line_m`, `drive.travel_m`, `evenness.picture.density` and
 * the lines of alternative plans are empty.
 */
export interface Prepared {
  sheet: agronomy.Sheet;
  /** Made by the quick search; the full one follows when asked for. */
  quick: boolean;
  passes: PassLine[];
  /** Gate closed: `travel[i]` leads to `passes[i]`; flat, empty where there is none. */
  travel: Float64Array[];
  start: LonLat;
  refills: RefillStop[];
  evenness: EvennessGrid | undefined;
  /** Every plan of `sheet.plans`, in that order, small enough to draw many. */
  plans: PlanPicture[];
  track: DriveTrack;
  /** Milliseconds spent in the core. */
  tookMs: number;
}

/** One pass. `line` is flat: longitude, latitude, longitude, latitude … */
export interface PassLine {
  order: number;
  kind: string;
  closed: boolean;
  direction: string;
  line: Float64Array;
  /** The same points in metres east and north of `sheet.ground.origin`. */
  lineM: Float64Array;
}

export interface RefillStop {
  at: LonLat;
  afterLoad: number;
  pass: number;
}

/** Ratios to the target on square cells, row 0 the southernmost; NaN is bare. */
export interface EvennessGrid {
  cols: number;
  rows: number;
  ratio: Float32Array;
  southWest: LonLat;
  northEast: LonLat;
  originM: [number, number];
  cellM: number;
}

/** A plan's passes for a small picture. */
export interface PlanPicture {
  name: string;
  /** East, north … metres, one array per pass; empty when not asked for. */
  linesM: Float64Array[];
  /** Only after a full search, and not for plans at half the rate. */
  evenness?: EvennessGrid | undefined;
}

/**
 * The whole drive in time, for playing it: between two stations everything is
 * linear. The plan is driven once for every hopper group, so seconds run to
 * `sheet.drive.time_s` times the groups. Stations are equal in number in all
 * arrays.
 */
export interface DriveTrack {
  lonLat: Float64Array; // flat
  seconds: Float64Array;
  /** Kilograms in the hopper; jumps up at a refill (two stations, one time). */
  hopperKg: Float64Array;
  /** Number of the load in the hopper. */
  load: Int32Array;
  /** Order of the pass that ends here; 0 while travelling with the gate closed. */
  pass: Int32Array;
}

export interface PrepareOptions {
  /** A first plan within a frame or so; without it the full search. */
  quick?: boolean;
}

// ----------------------------------------------------------------- spreading

export interface PatternRequest {
  pattern: spreader.Pattern;
  /** Acceptable coefficient of variation, 0.15 is 15 %. */
  limit?: number;
  way?: spreader.Way;
  /** How far a driver misses the line. */
  steeringM?: number;
  units: System;
}

export interface PatternLook {
  throw_m: number;
  /** Cross profile: position right of the track (metres) and share per metre. */
  acrossM: Float64Array;
  perMetre: Float64Array;
  balance: spreader.Balance;
  recommendation: spreader.Recommendation;
  /** Coefficient of variation against spacing. */
  spacingM: Float64Array;
  sameWayCV: Float64Array;
  backAndForthCV: Float64Array;
}

export interface LookBackRequest {
  /** As it was saved. */
  sheet: agronomy.Sheet;
  /** Without it nothing is learned for a gate. */
  spreader?: spreader.Spreader;
  told: finished.Told;
  units: System;
}

// ---------------------------------------------------------- what goes on it

/** A figure of the catalog as a person reads it. */
export interface FigureText {
  name: catalog.Name;
  text: string;
  /** With where it comes from. */
  footnote: string;
  mark: source.Mark;
}

export interface CatalogFound {
  crops: CropEntry[];
  products: ProductEntry[];
}

export interface CropEntry {
  crop: catalog.Crop;
  figures: FigureText[];
}

export interface ProductEntry {
  product: catalog.Product;
  figures: FigureText[];
  /** As printed on the bag, such as 19-19-19; empty for lime. */
  grade: string;
}

export interface NeedRequest {
  /** The laboratory's recommendation; without one a stated default serves. */
  report?: soil.Report;
  legumesOnly?: boolean;
  /** What the ground gets besides: manure, a legume that was worked in. */
  credits?: soil.Credit[];
}

/** A need with what the credits leave of it. */
export type Wanted = soil.Need & { left: mix.Nutrients };

export interface BlendRequest {
  need: mix.Nutrients;
  /** Ids of the catalog: what is on hand. */
  products: string[];
  own?: catalog.Own;
  units: System;
}

export interface BagRequest {
  need: mix.Nutrients;
  area_m2: number;
  /** Products on hand: ids of the catalog or stocks of the person's own. */
  products?: string[];
  /** What a bag costs, by product. */
  prices?: Record<string, number>;
  stocks?: mix.Stock[];
  limits?: mix.BagLimits;
  /** The mix that the bags go into: it has bags and prices of its own. */
  mix?: mix.Mix;
  own?: catalog.Own;
  units: System;
}

/** Bags to choose from, and the fertilizers of the mix that go out for them. */
export type Bags = mix.BagChoice & { replaces: string[] };

export interface TakeRequest {
  mix: mix.Mix;
  bags: mix.BagCount[];
  /** That gets anything. */
  area_m2: number;
  own?: catalog.Own;
}

export interface RecountRequest {
  mix: mix.Mix;
  /** From 0. */
  item: number;
  way: mix.Way;
  /** That gets anything; 0 when not known. */
  area_m2: number;
}

export interface LimeRequest {
  product: string;
  ask: soil.LimeAsk;
  /** Of the report, in place of the ask's recommendation: 6.0 to 6.5. */
  buffer_index?: number;
  own?: catalog.Own;
}

/** A dose, the recommendation that it was worked out from, and whose that is. */
export interface LimeAnswer extends soil.LimeDose {
  recommended_kg_per_m2: number;
  mark: source.Mark;
}

export interface JudgeRequest {
  counts: stand.Counts;
  target: stand.Target;
  units: System;
}

/** A day with several plots, in the order of driving. */
export interface TripRequest {
  plots: trip.Asked[];
  /** What the truck or trailer carries; none when left out. */
  limit_kg?: number;
  /** What the spreader holds; without it no loads are worked out. */
  hopper?: mix.Hopper;
  own?: catalog.Own;
  units: System;
}

// ---------------------------------------------------------------- quantities

/** Kinds of quantity; the value's SI unit stands beside it. */
export type Kind =
  | 'area' // m2
  | 'length' // m
  | 'mass' // kg
  | 'volume' // m3
  | 'duration' // s
  | 'speed' // m/s
  | 'temperature' // degrees Celsius
  | 'mass_per_area' // kg/m2
  | 'volume_per_area' // m3/m2
  | 'count_per_area' // 1/m2, written per acre or hectare; `what` names the pieces
  | 'count_per_mass' // 1/kg
  | 'density' // kg/m3
  | 'flow'; // kg/s

/** Further ways to write a value. */
export type Wording =
  | Kind
  | 'count_close' // 1/m2, written per square foot or metre
  | 'course' // m/s as the seconds over 88 ft or 30 m
  | 'percent' // share of 1
  | 'bags' // to the quarter
  | 'count' // whole, grouped
  | 'money' // two decimals
  | 'date'; // YYYY-MM-DD, given as text

export interface FormatItem {
  as: Wording;
  value: number | string;
  /** What is counted, for counts: seeds, plants. */
  what?: string;
}

export interface ParseItem {
  kind: Kind;
  text: string;
  /** For a bare number: the unit that the field shows, such as ft. */
  unit?: string;
}

export type ParseAnswer = { value: number } | { fault: fault.Error };

export interface LegendRequest {
  /** Ratios to the target. */
  ratios: number[];
  rate_kg_per_m2?: number;
  /** Instead of the rate: pieces per square metre, and what they are. */
  pieces_per_m2?: number;
  what?: string;
  units: System;
}

// ------------------------------------------------------------------ the core

export interface Core {
  /** Resolves when the core can answer; requests before that wait. */
  readonly ready: Promise<void>;

  /**
   * Area, perimeter and edges of an outline, cheap enough for every frame.
   * The newest call supersedes those still waiting.
   */
  measure(outline: Outline, options: MeasureOptions): Promise<Measurement>;

  /**
   * The sheet. Quick calls supersede waiting quick ones; any call supersedes
   * a full search under way, which is then stopped. While dragging call
   * `prepare(request, { quick: true })` for each frame, and `prepare(request)`
   * when the finger rests.
   */
  prepare(request: PrepareRequest, options?: PrepareOptions): Promise<Prepared>;

  /** Every plot of a GeoJSON, GPX, KML, KMZ or zipped shapefile, told by content. */
  readFile(bytes: Uint8Array, options: ReadOptions): Promise<ReadPlot[]>;
  /** The plot that a walk went round. */
  walked(fixes: readonly Fix[], options: ReadOptions): Promise<ReadPlot>;
  /** A walk while it is recorded. The newest call supersedes those still waiting. */
  trail(fixes: readonly Fix[], units: System): Promise<Trail>;
  /** A corner per line (or between semicolons), as decimal degrees or degrees, minutes, seconds. */
  readCoordinates(text: string, options: { order: 'lon-lat' | 'lat-lon'; date?: string; units: System }): Promise<ReadPlot>;
  taped(request: TapedRequest): Promise<TapedAnswer>;
  /** The pieces that a line cuts an outline into: two or more, largest first. */
  split(outline: Outline, line: LonLat[]): Promise<Piece[]>;
  /** Plots laid flat, each about its own origin. */
  local(outlines: Outline[]): Promise<LocalShape[]>;

  pattern(request: PatternRequest): Promise<PatternLook>;
  /** CSV of a pan test, as the command line reads it. */
  readPanTest(csv: string): Promise<spreader.PanTest>;
  /** How wide each pattern of a machine throws, in metres; 0 where there is none. */
  throws(patterns: spreader.Patterns): Promise<Record<keyof spreader.Patterns, number>>;
  flowCurve(machine: spreader.Spreader, material: string): Promise<spreader.FlowCurve>;

  /** Entries whose name or id holds every word; an empty text finds all. */
  search(text: string, own?: catalog.Own): Promise<CatalogFound>;
  /** An entry of the person's own: one crop or one product. */
  describe(description: catalog.Description): Promise<catalog.Own>;
  need(request: NeedRequest): Promise<Wanted>;
  blend(request: BlendRequest): Promise<soil.Blend>;
  bags(request: BagRequest): Promise<Bags>;
  /** The mix with bags, as a rate, in place of every fertilizer that it had. */
  takeBags(request: TakeRequest): Promise<mix.Mix>;
  /** What every item of a mix is, and the ways in which its rate can be given. */
  lookAtMix(goods: mix.Mix): Promise<mix.Look[]>;
  /** The mix with one item's rate said in another way: as much goes on. */
  recount(request: RecountRequest): Promise<mix.Mix>;
  lime(request: LimeRequest): Promise<LimeAnswer>;
  judge(request: JudgeRequest): Promise<stand.Judgment>;
  trip(request: TripRequest): Promise<trip.Day>;
  /** What was really used, and what the job teaches about the gate. */
  lookBack(request: LookBackRequest): Promise<finished.Job>;

  /** Words for quantities, in the order given. Never rejects for a value. */
  format(items: FormatItem[], system: System): Promise<string[]>;
  /** What people typed, in SI; a fault for each text that cannot be read. */
  parse(items: ParseItem[]): Promise<ParseAnswer[]>;
  /** The words beside the steps of the evenness picture. */
  legend(request: LegendRequest): Promise<string[]>;

  /** Ends the workers. */
  close(): void;
}

/**
 * For `make bench-page`. The page sets `window.evenfallBench` only when its
 * address has `?bench`; nothing else may depend on it.
 */
export interface BenchHooks {
  /** Opens a sheet of this outline and resolves once the full search is shown. */
  open(outline: Outline): Promise<void>;
  /**
   * Moves one corner of the outer ring as a drag would, and resolves once the
   * frame that paints the quick plan's passes and evenness for exactly this
   * position is done.
   */
  drag(corner: number, to: LonLat): Promise<void>;
  /** Lifts the finger and resolves once the full search is shown. */
  drop(): Promise<void>;
}

declare global {
  interface Window {
    evenfallBench?: BenchHooks;
  }
}

export type { agronomy, catalog, coverage, fault, finished, geo, mix, soil, source, spreader, stand, trip, units };
