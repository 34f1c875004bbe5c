// Two versions of one record, line by line in the words of the trade, so that
// a person sees what differs. Whatever the documents hold gets a line: nothing
// that differs stays hidden.
import type { Wording } from '../core/api';
import type * as catalog from '../generated/catalog';
import type * as mix from '../generated/mix';
import type { CatchTest } from '../generated/spreader';
import { figureOf, kindOfRate, rateKinds, rateOf } from './rates';

/** A piece of a line: words, or a quantity in the person's units. */
export type Piece = string | { as: Wording; value: number; what?: string };

export interface Line {
  what: string;
  mine: Piece[] | undefined; // undefined where that version has none
  theirs: Piece[] | undefined;
  differs: boolean;
}

/** Every line of either version, those of mine first. */
export function compare(mine: object, theirs: object): Line[] {
  const [a, b] = [linesOf(mine), linesOf(theirs)];
  return [...new Set([...a.keys(), ...b.keys()])]
    .map((what) => ({
      what,
      mine: a.get(what),
      theirs: b.get(what),
      differs: JSON.stringify(a.get(what)) !== JSON.stringify(b.get(what)),
    }))
    .filter(({ what }, _, all) => !all.some((head) => (!head.mine || !head.theirs) && what.startsWith(`${head.what}, `))); // of a material that is not there, one line
}

const names: Record<string, string> = {
  shape: 'pattern',
  throw_m: 'throw, edge to edge',
  left_reach_m: 'reach to the left',
  right_reach_m: 'reach to the right',
  flat_share: 'flat in the middle',
  offset_m: 'centre off the track',
  pan_distance_m: 'pans apart',
  pan_area_m2: 'size of a pan',
  centre_pan: 'pan under the middle',
  missing_pans: 'pans left out',
  runs_kg: 'caught, left to right',
  hopper_m3: 'the hopper holds',
  hopper_kg: 'the hopper may carry',
  speed_min_mps: 'slowest',
  speed_max_mps: 'fastest',
  turn_radius_m: 'turning radius',
  throw_behind_m: 'lands behind by',
  steering_error_m: 'the driver strays by',
  speed_error: 'the speed strays by',
  backs_up: 'can back up',
  gate_scale: 'gate scale',
  catch_tests: 'catch test',
  corrections: 'learnt from a job',
  note: 'notes',
  bag_kg: 'bag',
  tag: 'on the tag',
  parts_rate_kg_per_m2: 'the whole blend',
  allow_half_bags: 'half bags are kept',
  group: 'filling',
  keep_off: 'keep-off line',
  distance_m: 'distance',
  spacing_m: 'tracks apart',
  first_inset_m: 'first track from the edge',
  speed_mps: 'drive',
  clearance_m: 'clear of holes by',
  along_deg: 'passes along, in degrees from north',
  scoop_m3: 'scoop',
  disc_depth_m: 'disc depth',
  budget: 'plans to try',
  habit: 'laps by habit',
  room: 'room to turn',
  no_throw_outside: 'nothing thrown outside',
  half_rates: 'half the rate, twice over',
  right_angles: 'the second time across',
  ...Object.fromEntries(Object.entries(rateKinds).map(([key, { says }]) => [key, says])),
};

/** What the end of a field's name says of its unit. */
const endings: [string, Wording][] = [
  ['volume_m3_per_m2', 'volume_per_area'],
  ['_kg_per_m2', 'mass_per_area'],
  ['s_per_m2', 'count_per_area'],
  ['_kg_per_s', 'flow'],
  ['_mps', 'speed'],
  ['_m2', 'area'],
  ['_m3', 'volume'],
  ['_kg', 'mass'],
  ['_m', 'length'],
  ['_s', 'duration'],
  ['_share', 'percent'],
  ['share_of_full', 'percent'],
  ['speed_error', 'percent'],
  ['purity', 'percent'],
  ['germination', 'percent'],
  ['hard_or_dormant', 'percent'],
  ['coating', 'percent'],
];

function linesOf(document: object): Map<string, Piece[]> {
  const lines = new Map<string, Piece[]>();
  walk(document, [], lines);
  return lines;
}

function walk(value: unknown, at: string[], lines: Map<string, Piece[]>): void {
  if (value === undefined || value === null || value === '' || value === false) return;
  const key = at.at(-1) ?? '';
  if (Array.isArray(value)) {
    list(value as unknown[], key, at, lines);
  } else if (typeof value === 'object') {
    for (const [name, part] of Object.entries(value)) walk(part, [...at, name], lines);
  } else {
    add(lines, at, [pieceOf(key, value as string | number | true)]);
  }
}

function list(values: unknown[], key: string, at: string[], lines: Map<string, Piece[]>): void {
  if (values.every((v) => typeof v !== 'object')) {
    if (values.length) add(lines, at, [values.join(' · ')]);
    return;
  }
  for (const [i, one] of values.entries()) {
    if (key === 'catch_tests') add(lines, [...at, String(i + 1)], caught(one as CatchTest));
    else if (key === 'figures') add(lines, [...at.slice(0, -1), (one as Figure).figure], [figureWords(one as Figure)]);
    else if (key === 'items') item(one as Item, called(one as Item, values as Item[], i), lines);
    else if (key === 'keep_off') walk(one, [...at, lineName(i, values as KeepOff[])], lines);
    else walk(one, [...at, String(i + 1)], lines);
  }
}

function caught({ gate, mass_kg, time_s, course_m, material }: CatchTest): Piece[] {
  return [
    `gate ${gate}: `,
    { as: 'mass', value: mass_kg },
    ...(time_s ? [' in ', { as: 'duration' as const, value: time_s }] : []),
    ...(course_m ? [' over ', { as: 'length' as const, value: course_m }] : []),
    `, ${material}`,
  ];
}

type Figure = Pick<catalog.Figure, 'figure' | 'low' | 'high' | 'unit'>;

/** A figure of an entry of the person's own, in the unit that it is kept in. */
function figureWords({ low, high, unit }: Figure): string {
  return [low === high ? String(low) : `${low} to ${high}`, unit === '1' ? 'of its weight' : unit].join(' ');
}

type KeepOff = { name?: string };

/** What a keep-off line is called; numbered where several are called the same. */
function lineName(i: number, all: KeepOff[]): string {
  const names = all.map(({ name }, n) => name || String(n + 1));
  const own = names[i]!;
  const before = names.slice(0, i).filter((name) => name === own).length;
  return names.filter((name) => name === own).length > 1 ? `${own} ${before + 1}` : own;
}

type Item = Pick<mix.Item, 'material' | 'crop' | 'product' | 'rate'>;

/** A material of a mix: how much of it, then the rest of what is said. */
function item({ rate, material, ...rest }: Item, name: string, lines: Map<string, Piece[]>): void {
  const kind = kindOfRate(rate);
  const { quantity, what, shown, says } = rateKinds[kind];
  const value = rateOf(rate, kind);
  add(lines, [name], quantity ? [{ as: quantity, value, ...(what ? { what } : {}) }] : [`${shown(value)} ${says}`]);
  const { [figureOf(kind)]: _, ...ofRate } = rate;
  walk({ ...rest, ...ofRate }, [name], lines);
}

/** What a material is called; with its number where two are called the same. */
function called(one: Item, all: Item[], i: number): string {
  const name = ({ crop, product, material = 'material' }: Item) => crop?.name ?? product?.name ?? material.replace(/([a-z])-(?=[a-z])/g, '$1 ');
  const own = name(one);
  return all.filter((other) => name(other) === own).length > 1 ? `${own} ${i + 1}` : own;
}

function pieceOf(key: string, value: string | number | true): Piece {
  if (typeof value !== 'number') return value === true ? 'yes' : value;
  const as = endings.find(([ending]) => key.endsWith(ending))?.[1];
  const what = rateKinds[key as keyof typeof rateKinds]?.what;
  return as ? { as, value, ...(what ? { what } : {}) } : String(value);
}

/** Words that say nothing to a person: they only hold a document together. */
const joints = new Set(['patterns', 'usual', 'pan_test', 'driver']);

function add(lines: Map<string, Piece[]>, at: string[], pieces: Piece[]): void {
  const words = at.filter((part) => !joints.has(part)).map((part) => names[part] ?? part.replace(/_(m2|m3|kg|mps|m|s)$/, '').replaceAll('_', ' '));
  lines.set(words.join(', ').replace(/, (\d+)$/, ' $1'), pieces);
}
