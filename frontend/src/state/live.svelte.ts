// The sheet as it follows the hand: a quick plan for every frame of a drag, the
// full search once the finger rests. Only the newest answer is shown.
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
  private timer: ReturnType<typeof setTimeout> | undefined;
  private slowTimer: ReturnType<typeof setTimeout> | undefined;

  constructor(private readonly core: Pick<Core, 'measure' | 'prepare'>) {}

  /** A frame of a drag. */
  async drag(outline: Outline, request: PrepareRequest | undefined, units: System): Promise<void> {
    const turn = this.begin();
    await Promise.all([this.measure(turn, outline, units, request), request && this.prepare(turn, request, true)]);
  }

  /** The hand is still: a quick plan if there is none yet, then the full search. */
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
      if (this.prepared) this.timer = setTimeout(full, restMs);
      else void this.prepare(turn, request, true).then(full);
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
      this.measured = undefined;
      return;
    }
    const surveyM2 = request?.plot.survey?.uncertainty_m2;
    await this.answer(turn, this.core.measure(outline, { units, ...(surveyM2 ? { surveyM2 } : {}) }), (m) => (this.measured = m));
  }

  private async prepare(turn: number, request: PrepareRequest, quick: boolean): Promise<void> {
    await this.answer(turn, this.core.prepare(request, quick ? { quick } : {}), (p) => {
      this.prepared = p;
      this.problem = undefined;
    });
    if (quick || turn !== this.turn) return;
    clearTimeout(this.slowTimer);
    this.slow = false;
    this.searching = false;
  }

  private async answer<T>(turn: number, asked: Promise<T>, take: (found: T) => void): Promise<void> {
    try {
      const found = await asked;
      if (turn === this.turn) take(found);
    } catch (error) {
      if (error instanceof Superseded || turn !== this.turn) return;
      if (!(error instanceof CoreFault)) throw error;
      this.problem = error.fault;
    }
  }
}
