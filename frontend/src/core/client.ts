// The core as the page sees it: two workers of one compiled module. The near
// one answers whatever takes a frame or so; the far one runs full searches and
// is stopped when a newer request makes its search pointless. Files are read by
// a program of its own, which is loaded for the first file.
import { Superseded } from './api';
import type {
  BagRequest, Bags, BlendRequest, CatalogFound, Core, DriveTrack, Fix, FormatItem, JudgeRequest,
  LegendRequest, LimeAnswer, LimeRequest, LocalShape, LonLat, LookBackRequest, MeasureOptions, Measurement, NeedRequest, Outline, ParseAnswer,
  ParseItem, PatternLook, Piece, PatternRequest, Prepared, PrepareOptions, PrepareRequest, ReadOptions, ReadPlot, RecountRequest,
  System, TakeRequest, TapedAnswer, TapedRequest, Trail, TripRequest, Wanted,
  catalog, finished, mix, soil, spreader, stand, trip,
} from './api';
import { Hand, type Port } from './hand';
import { Latest } from './latest';
import { lengthsOf } from './taped';
import { flattened, flatWalk, type Compiled } from './wire';

export interface CoreParts {
  module: Promise<WebAssembly.Module>;
  reader(): Promise<WebAssembly.Module>;
  spawn(): Port;
}

/** The core of this page, from the files it was built with. */
export function createCore(parts: CoreParts = builtParts()): Core {
  return new WorkerCore(parts);
}

function builtParts(): CoreParts {
  return {
    module: compiled(new URL('../../core/evenfall.wasm', import.meta.url)),
    reader: () => compiled(new URL('../../core/reader.wasm', import.meta.url)),
    spawn: () => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' }),
  };
}

function compiled(from: URL): Promise<WebAssembly.Module> {
  const compiler = new Worker(new URL('./compiler.ts', import.meta.url), { type: 'module' });
  const done = new Promise<WebAssembly.Module>((resolve, reject) => {
    compiler.onmessage = ({ data }: MessageEvent<Compiled>) => ('module' in data ? resolve(data.module) : reject(new Error(data.failed)));
    compiler.onerror = (event) => reject(new Error(event.message));
  });
  compiler.postMessage({ from: from.href });
  return done.finally(() => compiler.terminate());
}

/** The rows in which measured edges cross. */
interface EdgeRows {
  ring: Int32Array;
  corner: Int32Array;
  length_m: Float64Array;
  at: Float64Array;
  text: string[];
}

type Measured = Omit<Measurement, 'edges'> & { edges: EdgeRows };
type PreparedByCore = Omit<Prepared, 'tookMs'> & { track: DriveTrack };

class WorkerCore implements Core {
  readonly ready: Promise<void>;
  private readonly near: Hand;
  private readonly measuring = new Latest();
  private readonly sketching = new Latest();
  private readonly preparing = new Latest();
  private readonly looking = new Latest();
  private readonly trailing = new Latest();
  private far: Hand | undefined;
  private turn = 0;
  private searches = 0; // full ones, under way

  constructor(private readonly parts: CoreParts) {
    this.near = new Hand(parts.module, parts.spawn);
    this.ready = this.near.ready;
  }

  measure(outline: Outline, { sketch = false, ...options }: MeasureOptions): Promise<Measurement> {
    const request = { ...options, corners: outline.map((ring) => ring.length) };
    return (sketch ? this.sketching : this.measuring).ask(async () => {
      // While a corner is dragged the near one lays passes and the far one rests.
      const hand = this.far?.idle ? this.far : this.near;
      const { value } = await hand.ask<Measured>('measure', request, flattened(outline));
      return { ...value, edges: edgesOf(value.edges) };
    });
  }

  prepare(request: PrepareRequest, options: PrepareOptions = {}): Promise<Prepared> {
    const quick = options.quick ?? false;
    this.turn++;
    if (this.searches > 0) this.far?.stop();
    return quick ? this.preparing.ask(() => prepared(this.near, request, quick)) : this.searched(request, this.turn);
  }

  private async searched(request: PrepareRequest, turn: number): Promise<Prepared> {
    this.far ??= new Hand(this.parts.module, this.parts.spawn);
    await this.far.ready;
    if (turn !== this.turn) throw new Superseded();
    this.searches++;
    try {
      return await prepared(this.far, request, false);
    } finally {
      this.searches--;
    }
  }

  readFile(bytes: Uint8Array, options: ReadOptions): Promise<ReadPlot[]> {
    return this.read('readFile', options, bytes);
  }

  walked(fixes: readonly Fix[], options: ReadOptions): Promise<ReadPlot> {
    return this.read('walked', options, flatWalk(fixes));
  }

  private async read<T>(name: string, options: ReadOptions, data: Uint8Array): Promise<T> {
    const reader = new Hand(this.parts.reader(), this.parts.spawn);
    try {
      return (await reader.ask<T>(name, options, data)).value;
    } finally {
      reader.close(); // a large file's memory goes with it
    }
  }

  trail(fixes: readonly Fix[], units: System): Promise<Trail> {
    return this.trailing.ask(() => this.value('trail', { units }, flatWalk(fixes)));
  }

  readCoordinates(text: string, options: { order: 'lon-lat' | 'lat-lon'; date?: string; units: System }): Promise<ReadPlot> {
    return this.value('readCoordinates', { text, ...options });
  }

  taped(request: TapedRequest): Promise<TapedAnswer> {
    const { taped, ...rest } = request;
    return this.value('taped', { ...rest, tape: { shape: taped.shape, lengths_m: lengthsOf(taped) } });
  }

  split(outline: Outline, line: LonLat[]): Promise<Piece[]> {
    return this.value('split', { outline, line });
  }

  local(outlines: Outline[]): Promise<LocalShape[]> {
    return this.value('local', { outlines });
  }

  pattern(request: PatternRequest): Promise<PatternLook> {
    return this.looking.ask(() => this.value('pattern', request));
  }

  readPanTest(csv: string): Promise<spreader.PanTest> {
    return this.value('readPanTest', { text: csv });
  }

  throws(patterns: spreader.Patterns): Promise<Record<keyof spreader.Patterns, number>> {
    return this.value('throws', patterns);
  }

  flowCurve(machine: spreader.Spreader, material: string): Promise<spreader.FlowCurve> {
    return this.value('flowCurve', { spreader: machine, material });
  }

  search(text: string, own?: catalog.Own): Promise<CatalogFound> {
    return this.value('search', { text, own });
  }

  describe(description: catalog.Description): Promise<catalog.Own> {
    return this.value('describe', description);
  }

  need(request: NeedRequest): Promise<Wanted> {
    return this.value('need', request);
  }

  blend(request: BlendRequest): Promise<soil.Blend> {
    return this.value('blend', request);
  }

  bags(request: BagRequest): Promise<Bags> {
    return this.value('bags', request);
  }

  takeBags(request: TakeRequest): Promise<mix.Mix> {
    return this.value('takeBags', request);
  }

  lookAtMix(goods: mix.Mix): Promise<mix.Look[]> {
    return this.value('lookAtMix', { mix: goods });
  }

  recount(request: RecountRequest): Promise<mix.Mix> {
    return this.value('recount', request);
  }

  lime(request: LimeRequest): Promise<LimeAnswer> {
    return this.value('lime', request);
  }

  judge(request: JudgeRequest): Promise<stand.Judgment> {
    return this.value('judge', request);
  }

  trip(request: TripRequest): Promise<trip.Day> {
    return this.value('trip', request);
  }

  lookBack(request: LookBackRequest): Promise<finished.Job> {
    return this.value('lookBack', request);
  }

  format(items: FormatItem[], system: System): Promise<string[]> {
    return this.value('format', { items, units: system });
  }

  parse(items: ParseItem[]): Promise<ParseAnswer[]> {
    return this.value('parse', { items });
  }

  legend(request: LegendRequest): Promise<string[]> {
    return this.value('legend', request);
  }

  close(): void {
    this.near.close();
    this.far?.close();
  }

  private async value<T>(name: string, request: unknown, data?: Uint8Array): Promise<T> {
    return (await this.near.ask<T>(name, request, data)).value;
  }
}

async function prepared(hand: Hand, request: PrepareRequest, quick: boolean): Promise<Prepared> {
  const asked = { ...request, options: { ...request.options, quick } };
  const { value, tookMs } = await hand.ask<PreparedByCore>('prepare', asked);
  return { ...value, tookMs };
}

function edgesOf(rows: EdgeRows): Measurement['edges'] {
  return rows.text.map((text, i) => ({
    ring: rows.ring[i]!,
    corner: rows.corner[i]!,
    length_m: rows.length_m[i]!,
    text,
    at: [rows.at[2 * i]!, rows.at[2 * i + 1]!],
  }));
}
