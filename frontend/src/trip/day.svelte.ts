// A day with several plots: which, in what order, with which mix. It is kept on
// this device with all that it needs, so that it can be worked out, changed and
// printed without a signal.
import { CoreFault, type Core, type System, type TripRequest } from '../core/api';
import type * as mix from '../generated/mix';
import type * as spreader from '../generated/spreader';
import type * as trip from '../generated/trip';
import { faultWords } from '../state/faultWords';

/** One plot of the day. A plot that is not in the notebook has no plotId. */
export interface Stop {
  key: number;
  plotId?: string;
  name: string;
  area_m2: number | undefined;
  mixId: string; // where each plot has its own
}

/** What the person has chosen, as it is kept on the device. */
interface Kept {
  stops: Stop[];
  oneMix: boolean;
  mixId: string;
  spreaderId: string;
  limit_kg: number | undefined;
  /** As last known, for when the notebook cannot be read. */
  mixes: { id: string; document: mix.Mix }[];
  spreaders: { id: string; document: spreader.Spreader }[];
}

/** The part of a record that a day needs. */
interface Listed<T> {
  id: string;
  name: string;
  document: T | unknown;
}

const key = 'evenfall.day';
const empty: Kept = { stops: [], oneMix: false, mixId: '', spreaderId: '', limit_kg: undefined, mixes: [], spreaders: [] };

function read(): Kept {
  try {
    return { ...empty, ...(JSON.parse(localStorage.getItem(key) ?? '{}') as Partial<Kept>) };
  } catch {
    return empty;
  }
}

export class DayPlan {
  private kept = $state.raw<Kept>(read());
  plan = $state.raw<trip.Day | undefined>();
  private fault = $state.raw<{ key: number; field: string; words: string } | undefined>();
  private turn = 0;

  constructor(private readonly core: Pick<Core, 'trip'>) {}

  get stops(): Stop[] {
    return this.kept.stops;
  }
  get oneMix(): boolean {
    return this.kept.oneMix;
  }
  get mixId(): string {
    return this.kept.mixId;
  }
  get spreaderId(): string {
    return this.kept.spreaderId;
  }
  get limit_kg(): number | undefined {
    return this.kept.limit_kg;
  }
  get mixes(): Kept['mixes'] {
    return this.kept.mixes;
  }
  get spreaders(): Kept['spreaders'] {
    return this.kept.spreaders;
  }

  set(change: Partial<Pick<Kept, 'oneMix' | 'mixId' | 'spreaderId' | 'limit_kg'>>): void {
    this.keep({ ...this.kept, ...change });
  }

  add(stop: Omit<Stop, 'key'>): void {
    const next = 1 + Math.max(0, ...this.stops.map((s) => s.key));
    this.keep({ ...this.kept, stops: [...this.stops, { ...stop, key: next }] });
  }

  change(which: number, change: Partial<Omit<Stop, 'key'>>): void {
    this.keep({ ...this.kept, stops: this.stops.map((s) => (s.key === which ? { ...s, ...change } : s)) });
  }

  remove(which: number): void {
    this.keep({ ...this.kept, stops: this.stops.filter((s) => s.key !== which) });
  }

  /** Earlier by one, or later by one. */
  move(which: number, by: -1 | 1): void {
    const from = this.stops.findIndex((s) => s.key === which);
    const to = from + by;
    if (from < 0 || to < 0 || to >= this.stops.length) return;
    const stops = [...this.stops];
    [stops[from], stops[to]] = [stops[to]!, stops[from]!];
    this.keep({ ...this.kept, stops });
  }

  /** What the notebook says now of the plots, mixes and spreaders. */
  learn(plots: readonly { id: string; name: string; area_m2: number | undefined }[], mixes: readonly Listed<mix.Mix>[], spreaders: readonly Listed<spreader.Spreader>[]): void {
    const now: Kept = {
      ...this.kept,
      stops: this.stops.map((s) => {
        const plot = plots.find((p) => p.id === s.plotId);
        return plot ? { ...s, name: plot.name, area_m2: plot.area_m2 ?? s.area_m2 } : s;
      }),
      ...(mixes.length ? { mixes: mixes.map((m) => ({ id: m.id, document: m.document as mix.Mix })) } : {}),
      ...(spreaders.length ? { spreaders: spreaders.map((m) => ({ id: m.id, document: m.document as spreader.Spreader })) } : {}),
    };
    if (JSON.stringify(now) !== JSON.stringify(this.kept)) this.keep(now);
  }

  /** The mix of a stop: its own, the one for all, else the first. */
  mixOf(stop: Stop): mix.Mix | undefined {
    const wanted = this.oneMix ? this.mixId : stop.mixId;
    return (this.mixes.find((m) => m.id === wanted) ?? this.mixes[0])?.document;
  }

  /** The day as the core takes it; undefined while something is missing. */
  request(units: System): TripRequest | undefined {
    const plots = this.stops.map((stop) => ({ name: stop.name, area_m2: stop.area_m2, mix: this.mixOf(stop) }));
    if (plots.length === 0 || plots.some((p) => !p.area_m2 || !p.mix)) return undefined;
    const machine = this.spreaders.find((s) => s.id === this.spreaderId)?.document;
    const hopper = { ...(machine?.hopper_kg ? { mass_kg: machine.hopper_kg } : {}), ...(machine?.hopper_m3 ? { volume_m3: machine.hopper_m3 } : {}) };
    return {
      plots: plots as TripRequest['plots'],
      ...(this.limit_kg ? { limit_kg: this.limit_kg } : {}),
      ...(Object.keys(hopper).length ? { hopper } : {}),
      units,
    };
  }

  async work(units: System): Promise<void> {
    const turn = ++this.turn;
    const request = this.request(units);
    if (!request) {
      this.plan = this.fault = undefined;
      return;
    }
    try {
      const plan = await this.core.trip(request);
      if (turn === this.turn) [this.plan, this.fault] = [plan, undefined];
    } catch (error) {
      if (!(error instanceof CoreFault)) throw error;
      if (turn !== this.turn) return;
      const { feature = 0, field = '' } = error.fault.where ?? {};
      this.plan = undefined;
      // The plot is told by where the words stand.
      this.fault = { key: this.stops[feature - 1]?.key ?? 0, field, words: faultWords({ ...error.fault, where: {} }) };
    }
  }

  /** What is wrong at a stop. */
  faultAt(stop: Stop): string | undefined {
    return this.fault?.key === stop.key ? this.fault.words : undefined;
  }

  get limitFault(): string | undefined {
    return this.fault?.field === 'limit_kg' ? this.fault.words : undefined;
  }

  /** What is wrong with the day as a whole. */
  get trouble(): string | undefined {
    return this.fault && this.fault.key === 0 && this.fault.field !== 'limit_kg' ? this.fault.words : undefined;
  }

  private keep(now: Kept): void {
    this.kept = now;
    try {
      localStorage.setItem(key, JSON.stringify(now));
    } catch {
      // No room on this device: the day lasts until the page is closed.
    }
  }
}
