// A core for unit tests of the page: it answers at once with figures that are
// plainly made up, remembers what it was asked, and can be told to answer or
// to fail otherwise. Nothing it says is a calculation.
import { CoreFault } from './api';
import { lengthsOf } from './taped';
import type {
  BagRequest, Bags, BlendRequest, CatalogFound, Core, Fix, FormatItem, JudgeRequest,
  LegendRequest, LimeAnswer, LimeRequest, LocalShape, LonLat, LookBackRequest, MeasureOptions, Measurement, NeedRequest, Outline, ParseAnswer,
  ParseItem, PatternLook, Piece, PatternRequest, Prepared, PrepareOptions, PrepareRequest, ReadOptions, ReadPlot, RecountRequest,
  System, TapedAnswer, TakeRequest, TapedRequest, Trail, TripRequest, Wanted,
  agronomy, catalog, fault, finished, mix, soil, spreader, stand, trip,
} from './api';

/** One call that the page made. */
export interface Asked {
  method: keyof Core;
  given: unknown[];
}

export const sampleOutline: Outline = [
  [[-95.001, 44.001], [-95.0005, 44.001], [-95.0005, 44.0015], [-95.001, 44.0015], [-95.001, 44.001]],
];

const mark = { kind: 'practice' } as const;

/** A sheet with something in every section. */
export function sampleSheet(): agronomy.Sheet {
  const loose = {
    format: 1, plot: 'Sample plot', date: '2026-04-30', units: 'us',
    ground: {
      outline: sampleOutline, origin: [-95.00075, 44.00125], local_m: [], area_m2: 1011.7, perimeter_m: 130,
      uncertainty_m2: 25, method: 'drawn', measured_on: '2026-04-29',
      guess: {
        area_m2: 2023.4, ratio: 2, rate_factor: 2, bags: [{ material: '19-19-19', short_kg: -20, short_bags: -1 }],
        says: 'the guess is twice the measured area',
      },
    },
    spreader: {
      name: 'Sample spreader', throw_m: 7.9, spacing_m: 3.96, first_inset_m: 1.98, gate: '6', speed_mps: 2.68,
      per_88_ft_s: 10, flow_kg_per_s: 0.25,
      groups: [{ group: 1, contents: '19-19-19', rate_kg_per_m2: 0.02, flow_kg_per_s: 0.25, gate: '6', speed_mps: 2.68 }],
      says: ['open the gate to 6'],
    },
    drive: {
      name: 'laps', spacing_m: 3.96, first_inset_m: 1.98, turn_radius_m: 2.4, passes: [], travel_m: [], length_m: 250,
      travel_length_m: 12, turns: 9, bound_ratio: 1.1, time_s: 120, start_m: [0, 0], refills: [],
    },
    evenness: {
      mean_ratio: 0.97, cv: 0.17, within_10: 0.5, within_25: 0.85,
      thinnest_tenth: { mean_ratio: 0.6, around_m: [0, 0] }, heaviest_tenth: { mean_ratio: 1.4, around_m: [5, 5] },
      outside_share: 0.05, says: '85 % of the plot gets within a quarter of the rate',
    },
    plans: [
      { name: 'laps', says: 'round and round', chosen: true, habit: false, cv: 0.17, outside_share: 0.05, length_m: 250, travel_length_m: 12, turns: 9, time_s: 120 },
      { name: 'the habit', says: 'as it is usually driven', chosen: false, habit: true, cv: 0.34, outside_share: 0.1, length_m: 260, travel_length_m: 10, turns: 10, time_s: 130 },
    ],
    mix: 'Sample mix',
    materials: [{
      id: '19-19-19', material: '19-19-19', class: 'fertilizer', group: 1, rate_kg_per_m2: 0.02, rate_of: 'product',
      rate_says: '200 lb/ac', mass_kg: 22.7, bag_kg: 22.7, bags_exact: 1, bags: 1, buy_bags: 1, actual_kg: 22.7,
      actual_rate_kg_per_m2: 0.02, product_rate_kg_per_m2: 0.02, spread_kg: 22.7, spread_rate_kg_per_m2: 0.02, mark,
    }],
    nutrients: { n_kg_per_m2: 0.004, p2o5_kg_per_m2: 0.004, k2o_kg_per_m2: 0.004 },
    loads: [{
      number: 1, group: 1, mass_kg: 22.7, layers: 3, layer: [{ material: '19-19-19', mass_kg: 7.6 }], from_m: 0, to_m: 250,
    }],
    shopping: [{ material: '19-19-19', bags: 1, bag_kg: 22.7, mass_kg: 22.7, left_kg: 0 }],
    stand: [{ species: 'Oats', seeds_per_m2: 250, seeds_per_hoop: 114, hoop_m: 0.762, plants_per_m2: 180 }],
    afterwards: {
      disc_depth_max_m: 0.0254, disc_time_s: 600, says: ['disc no deeper than an inch'],
      top_dressing: { what: 'second nitrogen', from: '2026-05-28', to: '2026-06-11' },
      due: [{ what: 'stand count', from: '2026-05-14', to: '2026-05-28' }],
    },
    warnings: [{ says: 'a warning', mark }], cautions: [{ says: 'wear gloves', mark }],
    sources: [{ figure: 'materials[0].mass_kg', says: 'rate times area', kind: 'definition' }],
  };
  return loose as unknown as agronomy.Sheet; // figures that are added to the sheet need not be made up here
}

export function samplePrepared(quick = false): Prepared {
  const line = Float64Array.of(-95.0009, 44.0011, -95.0006, 44.0011, -95.0006, 44.0014, -95.0009, 44.0014, -95.0009, 44.0011);
  const lineM = Float64Array.of(-12, -17, 12, -17, 12, 17, -12, 17, -12, -17);
  return {
    sheet: sampleSheet(), quick,
    passes: [{ order: 1, kind: 'lap', closed: true, direction: 'counter-clockwise', line, lineM }],
    travel: [new Float64Array(0)],
    start: [-95.0009, 44.0011],
    refills: [],
    evenness: {
      cols: 2, rows: 2, ratio: Float32Array.of(0.8, 1, 1.2, Number.NaN), southWest: [-95.001, 44.001],
      northEast: [-95.0005, 44.0015], originM: [-20, -28], cellM: 28,
    },
    plans: [
      { name: 'laps', linesM: [lineM], evenness: undefined },
      { name: 'the habit', linesM: [lineM], evenness: undefined },
    ],
    track: {
      lonLat: line, seconds: Float64Array.of(0, 30, 60, 90, 120), hopperKg: Float64Array.of(22.7, 17, 11.3, 5.7, 0),
      load: Int32Array.of(1, 1, 1, 1, 1), pass: Int32Array.of(1, 1, 1, 1, 1),
    },
    tookMs: 1,
  };
}

export function faultOf(code: string, what: string, where: fault.Place = {}): CoreFault {
  return new CoreFault({ kind: 'invalid', code, what, where });
}

type Answers = { [M in keyof Core]?: Core[M] };

export class FakeCore implements Core {
  readonly ready = Promise.resolve();
  readonly asked: Asked[] = [];
  /** Set a method here to answer, or throw, instead of the sample. */
  answers: Answers = {};

  private answer<M extends keyof Core, T>(method: M, given: unknown[], sample: () => T): Promise<T> {
    this.asked.push({ method, given });
    const own = this.answers[method] as ((...all: unknown[]) => Promise<T>) | undefined;
    return own ? own(...given) : Promise.resolve().then(sample);
  }

  /** How often a method was called. */
  times(method: keyof Core): number {
    return this.asked.filter((one) => one.method === method).length;
  }

  measure(outline: Outline, options: MeasureOptions): Promise<Measurement> {
    return this.answer('measure', [outline, options], () => ({
      area_m2: 1011.7, perimeter_m: 130, uncertainty_m2: 25, areaText: '0.25 ac', perimeterText: '427 ft',
      giveOrTakeText: '0.01 ac',
      edges: outline.flatMap((ring, r) =>
        ring.slice(0, -1).map((corner, c) => ({ ring: r, corner: c, length_m: 30, text: '98 ft 5 in', at: corner }))),
    }));
  }

  prepare(request: PrepareRequest, options: PrepareOptions = {}): Promise<Prepared> {
    return this.answer('prepare', [request, options], () => samplePrepared(options.quick));
  }

  readFile(bytes: Uint8Array, options: ReadOptions): Promise<ReadPlot[]> {
    return this.answer('readFile', [bytes, options], () => [sampleRead('One'), sampleRead('Two')]);
  }

  walked(fixes: readonly Fix[], options: ReadOptions): Promise<ReadPlot> {
    return this.answer('walked', [fixes, options], () => sampleRead('Walked'));
  }

  trail(fixes: readonly Fix[], units: System): Promise<Trail> {
    return this.answer('trail', [fixes, units], () => ({
      lineM: Float64Array.from(fixes.flatMap((_, i) => [i, i])), boundM: [0, 0, fixes.length, fixes.length],
      walkedText: `${fixes.length} steps`, toStartText: 'far', accuracyText: '13 ft', vague: (fixes.at(-1)?.accuracyM ?? 0) > 15,
    }));
  }

  readCoordinates(text: string, options: { order: 'lon-lat' | 'lat-lon'; date?: string; units: System }): Promise<ReadPlot> {
    return this.answer('readCoordinates', [text, options], () => sampleRead(''));
  }

  taped(request: TapedRequest): Promise<TapedAnswer> {
    return this.answer('taped', [request], () => ({
      outline: sampleOutline, survey: { method: 'taped', date: request.date, area_m2: 1011.7 }, areaText: '0.25 ac',
      dimensions: { shape: request.taped.shape, lengths_m: lengthsOf(request.taped) },
    }));
  }

  split(outline: Outline, line: LonLat[]): Promise<Piece[]> {
    const piece = { outline, area_m2: 500, inside: outline[0]![0]! };
    return this.answer('split', [outline, line], () => [piece, piece]);
  }

  local(outlines: Outline[]): Promise<LocalShape[]> {
    return this.answer('local', [outlines], () => outlines.map((outline) => ({
      ringsM: outline.map(() => Float64Array.of(-20, -28, 20, -28, 20, 28, -20, 28, -20, -28)),
      boundM: [-20, -28, 20, 28], origin: outline[0]?.[0] ?? [0, 0],
    })));
  }

  pattern(request: PatternRequest): Promise<PatternLook> {
    return this.answer('pattern', [request], () => {
      const choice = { name: 'half the throw', spacing_m: 4, same_way_cv: 0.05, back_and_forth_cv: 0.05 };
      const balance = { left_share: 0.5, excess: 0, lopsided: false };
      return {
        throw_m: 8, acrossM: Float64Array.of(-4, 0, 4), perMetre: Float64Array.of(0, 0.25, 0), balance,
        recommendation: {
          cv_limit: request.limit ?? 0.15, way: request.way ?? 'back_and_forth', best: choice, half_throw: choice,
          half_of_centre: choice, balance, says: ['drive 13 ft apart'],
        },
        spacingM: Float64Array.of(2, 4, 8), sameWayCV: Float64Array.of(0.02, 0.05, 0.5),
        backAndForthCV: Float64Array.of(0.02, 0.05, 0.5),
      };
    });
  }

  readPanTest(csv: string): Promise<spreader.PanTest> {
    return this.answer('readPanTest', [csv], () => ({ pan_distance_m: 0.61, centre_pan: 3, runs_kg: [[0, 1, 2, 1, 0]] }));
  }

  throws(patterns: spreader.Patterns): Promise<Record<keyof spreader.Patterns, number>> {
    return this.answer('throws', [patterns], () => ({ usual: 8, seed: 0, fertilizer: 0 }));
  }

  flowCurve(machine: spreader.Spreader, material: string): Promise<spreader.FlowCurve> {
    return this.answer('flowCurve', [machine, material], () => ({
      material, gate: [4, 6], flow_kg_per_s: [0.2, 0.3], correction: 1,
      scatter: { known: false, repeats: 0, low: 1, high: 1 },
    }));
  }

  search(text: string, own?: catalog.Own): Promise<CatalogFound> {
    return this.answer('search', [text, own], () => ({
      crops: [{
        crop: { id: 'oats', name: 'Oats', figures: [], mark },
        figures: [{ name: 'broadcast', text: '75 to 125 lb/ac', footnote: '75 to 125 lb/ac, common practice', mark }],
      }],
      products: [{
        product: { id: '19-19-19', name: '19-19-19', class: 'fertilizer', figures: [], mark }, figures: [], grade: '19-19-19',
      }],
    }));
  }

  describe(description: catalog.Description): Promise<catalog.Own> {
    return this.answer('describe', [description], () => ({ products: [{ id: 'own-one', name: description.name, class: 'fertilizer', figures: [], mark }] }));
  }

  need(request: NeedRequest): Promise<Wanted> {
    return this.answer('need', [request], () => ({
      n_kg_per_m2: 0.005, p2o5_kg_per_m2: 0.004, k2o_kg_per_m2: 0.004, says: 'a modest dressing', mark,
      left: { n_kg_per_m2: 0.005, p2o5_kg_per_m2: 0.004, k2o_kg_per_m2: 0.004 },
    }));
  }

  blend(request: BlendRequest): Promise<soil.Blend> {
    const none = { n_kg_per_m2: 0, p2o5_kg_per_m2: 0, k2o_kg_per_m2: 0 };
    return this.answer('blend', [request], () => ({
      portions: request.products.map((product) => ({ product, name: product, rate_kg_per_m2: 0.02 })),
      gives: request.need, over: none, short: none,
    }));
  }

  bags(request: BagRequest): Promise<Bags> {
    const none = { n_kg_per_m2: 0, p2o5_kg_per_m2: 0, k2o_kg_per_m2: 0 };
    const one: mix.Combination = {
      bags: [{ product: '19-19-19', bags: 1, buy_bags: 1, mass_kg: 22.7, cost: 20 }], gives: request.need, surplus: none,
      shortfall: none, deviation_kg_per_m2: 0, cost: 20, says: 'one bag',
    };
    return this.answer('bags', [request], () => ({ cheapest: [one], closest: [one], proven: true, mark, replaces: ['13-13-13'] }));
  }

  takeBags(request: TakeRequest): Promise<mix.Mix> {
    return this.answer('takeBags', [request], () => ({
      ...request.mix, items: request.bags.map((bag) => ({ material: bag.product, rate: { mass_kg_per_m2: bag.mass_kg / request.area_m2 } })),
    }));
  }

  lookAtMix(goods: mix.Mix): Promise<mix.Look[]> {
    return this.answer('lookAtMix', [goods], () => goods.items.map((item) => ({ name: item.material ?? '', class: 'seed' as const, ways: ['mass_kg_per_m2', 'bags'] as mix.Way[] })));
  }

  recount(request: RecountRequest): Promise<mix.Mix> {
    return this.answer('recount', [request], () => request.mix);
  }

  lime(request: LimeRequest): Promise<LimeAnswer> {
    return this.answer('lime', [request], () => ({
      product: request.product, name: request.product, power: 0.9, depth_factor: 1, rate_kg_per_m2: 0.2, mass_kg: 200,
      bag_kg: 18.1, bags_exact: 11, bags: 11, notes: [], recommended_kg_per_m2: request.ask.recommended_kg_per_m2, mark,
    }));
  }

  judge(request: JudgeRequest): Promise<stand.Judgment> {
    return this.answer('judge', [request], () => ({
      verdict: 'on_target', sure: true, mean_per_m2: 180, low_per_m2: 160, high_per_m2: 200, dispersion: 1.1,
      says: 'on target', mark,
    }));
  }

  trip(request: TripRequest): Promise<trip.Day> {
    return this.answer('trip', [request], () => ({
      shopping: [], draws: [], runs: [], plots: request.plots.map((p) => ({ plot: p.name, mass_kg: 22.7 })), mass_kg: 22.7,
      stops: request.plots.map((p) => ({
        plot: p.name, area_m2: p.area_m2, mix: p.mix.name, mass_kg: 22.7, materials: [], takes: [], groups: [], loads: [],
      })),
      hazards: [], cautions: [{ says: 'wear gloves', mark }], sources: [],
    }));
  }

  lookBack(request: LookBackRequest): Promise<finished.Job> {
    return this.answer('lookBack', [request], () => ({
      materials: [],
      lessons: request.told.groups.map((g) => ({
        group: g.group, contents: 'oats', planned_kg: 20, used_kg: 22, driven_m: 250, passes: 1, says: 'The gate gave 10 % more.',
      })),
    }));
  }

  format(items: FormatItem[], system: System): Promise<string[]> {
    return this.answer('format', [items, system], () => items.map((item) => `${item.value} ${item.as}`));
  }

  parse(items: ParseItem[]): Promise<ParseAnswer[]> {
    return this.answer('parse', [items], () => items.map((item) => {
      const value = parseFloat(item.text);
      return Number.isNaN(value) ? { fault: faultOf('number', `"${item.text}" is no number`).fault } : { value };
    }));
  }

  legend(request: LegendRequest): Promise<string[]> {
    return this.answer('legend', [request], () => request.ratios.map((ratio) => `${Math.round(ratio * 100)} lb/ac`));
  }

  close(): void {
    this.asked.push({ method: 'close', given: [] });
  }
}

function sampleRead(name: string): ReadPlot {
  return {
    name, outline: sampleOutline, survey: { method: 'uploaded', date: '2026-04-29', area_m2: 1011.7 }, notes: [],
    areaText: '0.25 ac',
  };
}
