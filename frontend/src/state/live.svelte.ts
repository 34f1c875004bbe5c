// The sheet as it follows the hand: a quick plan for every frame of a drag and
// after every other change, the full search once the finger rests. Only the
// newest answer is shown.
import { CoreFault, Superseded, type Core, type Measurement, type Outline, type Prepared, type PrepareRequest, type System } from '../core/api';
import type * as fault from '../generated/fault';

const restMs = 140;
const slowMs = 500;

export class Live {
  prepared = $state.raw<Prepared | undefined>();
  measured = $state.raw<Measurement | undefined>();
  problem = $state.raw<fault.Error | undefined>();
  /** The full search has been under way for more than half a second. */
  slow = $state(false);
  searching = $state(false);
  private turn = 0;
  /** What the passes that are shown were laid for, but for a held bearing. */
  private laidFor = '';
  private timer: ReturnType<typeof setTimeout> | undefined;
  private slowTimer: ReturnType<typeof setTimeout> | undefined;

  constructor(private readonly core: Pick<Core, 'measure' | 'prepare'>) {}

  /** A frame of a drag. */
  async drag(outline: Outline, request: PrepareRequest | undefined, units: System): Promise<void> {
    const turn = this.begin();
    await Promise.all([this.measure(turn, outline, units, request), request && this.prepare(turn, request, true, this.held(request))]);
  }

  /** While a corner moves the passes keep their bearing, or they would swing to and fro. */
  private held(request: PrepareRequest): PrepareRequest {
    const bearing = request.options.along_deg ?? this.prepared?.sheet.drive.bearing_deg;
    return bearing === undefined ? request : { ...request, options: { ...request.options, along_deg: bearing } };
  }

  /** The hand is still: a quick plan if none is shown of just this, then the full search. */
  rest(outline: Outline, request: PrepareRequest | undefined, units: System): Promise<void> {
    const turn = this.begin();
    void this.measure(turn, outline, units, request);
    if (!request) {
      this.prepared = undefined;
      this.searching = false;
      return Promise.resolve();
    }
    this.searching = true;
    this.slowTimer = setTimeout(() => (this.slow = true), slowMs);
    return new Promise((done) => {
      const full = () => (turn === this.turn ? void this.prepare(turn, request, false).then(done) : done());
      const fullAtRest = () => (this.timer = setTimeout(full, restMs));
      if (this.prepared && this.laidFor === JSON.stringify(request)) fullAtRest();
      else void this.prepare(turn, request, true).then(this.prepared ? fullAtRest : full);
    });
  }

  private begin(): number {
    clearTimeout(this.timer);
    clearTimeout(this.slowTimer);
    this.slow = false;
    return ++this.turn;
  }

  private async measure(turn: number, outline: Outline, units: System, request: PrepareRequest | undefined): Promise<void> {
    if (outline.length === 0) {
      this.measured = this.problem = undefined;
      return;
    }
    const surveyM2 = request?.plot.survey?.uncertainty_m2;
    const asked = this.core.measure(outline, { units, ...(surveyM2 ? { surveyM2 } : {}) });
    // What cannot be measured has no figures, least of all those of the outline before.
    const take = (m: Measurement) => {
      this.measured = m;
      if (!request) this.problem = undefined; // no passes are asked for that could say so
    };
    await this.answer(turn, asked, take, () => (this.measured = undefined));
  }

  private async prepare(turn: number, request: PrepareRequest, quick: boolean, asked = request): Promise<void> {
    await this.answer(turn, this.core.prepare(asked, quick ? { quick } : {}), (p) => {
      this.prepared = p;
      this.laidFor = JSON.stringify(request);
      this.problem = undefined;
    });
    if (quick || turn !== this.turn) return;
    clearTimeout(this.slowTimer);
    this.slow = false;
    this.searching = false;
  }

  private async answer<T>(turn: number, asked: Promise<T>, take: (found: T) => void, fail?: () => void): Promise<void> {
    try {
      const found = await asked;
      if (turn === this.turn) take(found);
    } catch (error) {
      if (error instanceof Superseded || turn !== this.turn) return;
      if (!(error instanceof CoreFault)) throw error;
      this.problem = error.fault;
      fail?.();
    }
  }
}
