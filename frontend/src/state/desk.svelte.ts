// The plot on the desk: its draft with undo, what is kept of it, and the
// records it leans on. Every commit is kept at once.
import type { PrepareRequest, System } from '../core/api';
import type * as geo from '../generated/geo';
import type * as mix from '../generated/mix';
import type * as record from '../generated/record';
import type * as spreader from '../generated/spreader';
import type { Outline, LonLat } from '../map/adapter';
import type { Book } from './book.svelte';
import { samePlot, plotOf, withPlot, type Draft } from './draft';
import { begin, commit, redo, undo, type History } from './history';
import { Keeper, type Keeping } from './keeper';
import { Problem } from './server';
import { today } from './today';

export interface Conflict {
  mine: Draft;
  theirs: record.Plot;
}

const choiceKey = (plotId: string) => `evenfall.goods.${plotId}`;
const unsentKey = (plotId: string) => `evenfall.unsent.${plotId}`;

export class Desk {
  history = $state.raw<History<Draft>>(begin(emptyDraft));
  kept = $state.raw<record.Plot | undefined>();
  property = $state.raw<record.Property | undefined>();
  surveys = $state.raw<record.Survey[]>([]);
  keeping = $state<Keeping>('kept');
  problem = $state.raw<Problem | undefined>();
  conflict = $state.raw<Conflict | undefined>();
  private plotKeeper: Keeper<record.Plot> | undefined;
  private spreaderKeepers = new Map<string, Keeper<record.Spreader>>();
  private mixKeepers = new Map<string, Keeper<record.Mix>>();

  constructor(
    readonly book: Book,
    readonly plotId: string,
  ) {}

  get draft(): Draft {
    return this.history.present;
  }

  async open(): Promise<void> {
    try {
      const server = this.book.server;
      const [plot] = await Promise.all([server.get<record.Plot>(`/plots/${this.plotId}`), this.loadSurveys()]);
      this.property = this.book.properties.find((p) => p.id === plot.property_id);
      this.begin(plot);
    } catch (error) {
      this.problem = error instanceof Problem ? error : new Problem(0, 'unknown', String(error));
    }
  }

  private begin(plot: record.Plot): void {
    this.kept = plot;
    this.plotKeeper = new Keeper<record.Plot>(this.book.server, '/plots', plot, {
      state: (state, problem) => this.tell(state, problem),
      kept: (record) => this.learned(record),
      conflict: (theirs) => (this.conflict = { mine: this.draft, theirs }),
    });
    const goods = this.goods();
    this.history = begin(
      withPlot({ ...emptyDraft, ...goods, spreader: this.spreaderOf(goods.spreaderId), mix: this.mixOf(goods.mixId) }, plot),
    );
    this.takeUpUnsent(plot);
  }

  /** What could not be sent when the page was last closed. */
  private takeUpUnsent(plot: record.Plot): void {
    const text = localStorage.getItem(unsentKey(this.plotId));
    if (!text) return;
    const unsent = JSON.parse(text) as { revision: number; plot: record.Plot };
    this.history = commit(this.history, 'What was not sent', withPlot(this.draft, unsent.plot));
    this.plotKeeper!.learn({ ...plot, revision: unsent.revision });
    this.plotKeeper!.keep((kept) => plotOf(this.draft, kept));
  }

  /** The spreader and the mix: this device's choice, else the last sheet's, else the first. */
  private goods(): { spreaderId: string; mixId: string } {
    const season = this.book.seasons.get(this.plotId)?.saved;
    const chosen = JSON.parse(localStorage.getItem(choiceKey(this.plotId)) ?? '{}') as Partial<Draft>;
    const pick = (all: { id: string }[], ...ids: (string | undefined)[]) =>
      ids.find((id) => all.some((one) => one.id === id)) ?? all[0]?.id ?? '';
    return {
      spreaderId: pick(this.book.spreaders, chosen.spreaderId, season?.spreader_id),
      mixId: pick(this.book.mixes, chosen.mixId, season?.mix_id),
    };
  }

  spreaderOf(id: string): spreader.Spreader | undefined {
    return this.book.spreaders.find((s) => s.id === id)?.document as spreader.Spreader | undefined;
  }

  mixOf(id: string): mix.Mix | undefined {
    return this.book.mixes.find((m) => m.id === id)?.document as mix.Mix | undefined;
  }

  async loadSurveys(): Promise<void> {
    this.surveys = await this.book.server.list<record.Survey>(`/surveys?plot_id=${this.plotId}`);
  }

  private tell(state: Keeping, problem?: Problem): void {
    this.keeping = state;
    this.problem = problem;
    if (state === 'waiting' && this.kept) {
      const unsent = { revision: this.plotKeeper!.current.revision, plot: plotOf(this.draft, this.kept) };
      localStorage.setItem(unsentKey(this.plotId), JSON.stringify(unsent));
    }
  }

  private learned(plot: record.Plot): void {
    const measuredAnew = plot.outline !== undefined && JSON.stringify(plot.outline) !== JSON.stringify(this.kept?.outline);
    this.kept = plot;
    localStorage.removeItem(unsentKey(this.plotId));
    this.book.replacePlot(plot);
    if (measuredAnew) this.tidying = this.tidying.then(() => this.tidySurveys());
  }

  private tidying: Promise<void> = Promise.resolve();
  private drawnHere: string | undefined;

  /** Each outline that is kept adds a survey. Of those drawn in one sitting only the last is worth keeping. */
  private async tidySurveys(): Promise<void> {
    try {
      await this.loadSurveys();
      const used = this.surveyInUse;
      const before = this.surveys.find((s) => s.id === this.drawnHere && !s.in_use);
      this.drawnHere = used?.method === 'drawn' ? used.id : undefined;
      if (!before) return;
      await this.book.server.remove('/surveys', before);
      this.surveys = this.surveys.filter((s) => s.id !== before.id);
    } catch (error) {
      if (!(error instanceof Problem)) throw error; // a survey too many does no harm
    }
  }

  /** A change that a person made; undo takes it back in one step. */
  change(label: string, part: Partial<Draft>): void {
    const before = this.draft;
    this.history = commit(this.history, label, { ...before, ...part });
    this.keep(before);
  }

  undo(): void {
    const before = this.draft;
    this.history = undo(this.history);
    this.keep(before);
  }

  redo(): void {
    const before = this.draft;
    this.history = redo(this.history);
    this.keep(before);
  }

  chooseSpreader(id: string): void {
    this.change('Choose another spreader', { spreaderId: id, spreader: this.spreaderOf(id) });
  }

  chooseMix(id: string): void {
    this.change('Choose another mix', { mixId: id, mix: this.mixOf(id) });
  }

  private keep(before: Draft): void {
    const now = this.draft;
    if (!samePlot(before, now)) this.plotKeeper?.keep((kept) => plotOf(this.draft, kept));
    if (before.spreaderId !== now.spreaderId || before.mixId !== now.mixId) {
      localStorage.setItem(choiceKey(this.plotId), JSON.stringify({ spreaderId: now.spreaderId, mixId: now.mixId }));
    }
    if (now.spreader !== before.spreader && now.spreaderId === before.spreaderId) this.keepSpreader(now);
    if (now.mix !== before.mix && now.mixId === before.mixId) this.keepMix(now);
  }

  private keepSpreader(draft: Draft): void {
    const record = this.book.spreaders.find((s) => s.id === draft.spreaderId);
    if (!record || !draft.spreader) return;
    const keeper = this.keeperOf(this.spreaderKeepers, '/spreaders', record, (kept) => this.book.replaceSpreader(kept));
    keeper.keep((kept) => ({ ...kept, name: draft.spreader!.name, document: draft.spreader }));
  }

  private keepMix(draft: Draft): void {
    const record = this.book.mixes.find((m) => m.id === draft.mixId);
    if (!record || !draft.mix) return;
    const keeper = this.keeperOf(this.mixKeepers, '/mixes', record, (kept) => this.book.replaceMix(kept));
    keeper.keep((kept) => ({ ...kept, name: draft.mix!.name, document: draft.mix }));
  }

  /** Spreaders and mixes change rarely; where two people meet, the newer reading is taken up and ours put on top. */
  private keeperOf<R extends record.Stamp>(
    all: Map<string, Keeper<R>>,
    path: string,
    record: R,
    replace: (kept: R) => void,
  ): Keeper<R> {
    const known = all.get(record.id);
    if (known) return known;
    const keeper: Keeper<R> = new Keeper<R>(this.book.server, path, record, {
      state: (state, problem) => {
        this.keeping = state;
        this.problem = problem;
      },
      kept: replace,
      conflict: (theirs) => {
        this.otherConflict = { path, theirs: theirs as unknown as record.Stamp, insist: () => keeper.insist(theirs), giveWay: () => this.adopt(keeper, theirs, replace) };
      },
    });
    all.set(record.id, keeper);
    return keeper;
  }

  otherConflict = $state.raw<
    { path: string; theirs: record.Stamp; insist: () => void; giveWay: () => void } | undefined
  >();

  private adopt<R extends record.Stamp>(keeper: Keeper<R>, theirs: R, replace: (kept: R) => void): void {
    keeper.giveWay(theirs);
    replace(theirs);
    const { spreaderId, mixId } = this.draft;
    this.history = commit(this.history, 'Take what someone else wrote', {
      ...this.draft,
      spreader: this.spreaderOf(spreaderId),
      mix: this.mixOf(mixId),
    });
  }

  settle(choice: 'mine' | 'theirs'): void {
    const { conflict } = this;
    if (!conflict) return;
    this.conflict = undefined;
    if (choice === 'mine') {
      const mine = this.draft;
      const theirs = commit(this.history, 'Put ours over it', withPlot(mine, conflict.theirs));
      this.history = commit(theirs, 'Put ours over what someone else wrote', mine);
      this.plotKeeper!.insist(conflict.theirs);
      return;
    }
    this.plotKeeper!.giveWay(conflict.theirs);
    this.learned(conflict.theirs);
    this.history = commit(this.history, 'Take what someone else wrote', withPlot(this.draft, conflict.theirs));
  }

  settleOther(choice: 'mine' | 'theirs'): void {
    const { otherConflict } = this;
    this.otherConflict = undefined;
    if (choice === 'mine') otherConflict?.insist();
    else otherConflict?.giveWay();
  }

  retry(): void {
    this.plotKeeper?.retry();
  }

  get surveyInUse(): record.Survey | undefined {
    return this.surveys.find((s) => s.in_use);
  }

  /** Another measurement of the plot becomes the one in use, as the server keeps it. */
  async putInUse(survey: record.Survey): Promise<void> {
    await this.book.server.update<record.Survey>('/surveys', { ...survey, in_use: true });
    await this.reread('Use another measurement');
  }

  async addSurvey(survey: Omit<record.Survey, keyof record.Stamp>): Promise<void> {
    await this.book.server.create('/surveys', survey);
    await this.reread('Add a measurement');
  }

  async uploadOutline(file: Blob): Promise<void> {
    await this.book.server.upload(`/plots/${this.plotId}/outline`, file);
    await this.reread('Measure by a file');
  }

  private async reread(label: string): Promise<void> {
    const plot = await this.book.server.get<record.Plot>(`/plots/${this.plotId}`);
    this.plotKeeper?.learn(plot);
    this.learned(plot);
    await this.loadSurveys();
    this.history = commit(this.history, label, withPlot(this.draft, plot));
  }

  /** What the core and the server work a sheet out from; none before there is enough. */
  request(system: System, outline: Outline = this.draft.outline, keepOff?: LonLat[][]): PrepareRequest | undefined {
    const { draft } = this;
    if (outline.length === 0 || !draft.spreader || !draft.mix) return undefined;
    const survey = this.surveyFor(outline);
    const lines = keepOff ? draft.keepOff.map((k, i) => ({ ...k, line: keepOff[i] ?? k.line })) : draft.keepOff;
    return {
      plot: {
        name: draft.name,
        ...(this.property ? { property: this.property.name } : {}),
        outline: { type: 'Polygon', coordinates: outline },
        ...(survey ? { survey } : {}),
        surveys: this.surveys.filter((s) => s !== this.surveyInUse).map(bare),
        keep_off: lines,
      },
      spreader: draft.spreader,
      mix: draft.mix,
      options: { ...draft.options, date: draft.options.date || today(), units: system },
    };
  }

  /** The survey in use, as long as the outline is still its own. */
  private surveyFor(outline: Outline): geo.Survey | undefined {
    const used = this.surveyInUse;
    if (!used) return undefined;
    const own = JSON.stringify(used.outline?.coordinates ?? this.kept?.outline?.coordinates) === JSON.stringify(outline);
    return own ? bare(used) : undefined;
  }
}

/** A survey without the record around it. */
function bare(s: record.Survey): geo.Survey {
  return {
    method: s.method,
    date: s.date,
    area_m2: s.area_m2,
    ...(s.perimeter_m ? { perimeter_m: s.perimeter_m } : {}),
    ...(s.uncertainty_m2 ? { uncertainty_m2: s.uncertainty_m2 } : {}),
    ...(s.note ? { note: s.note } : {}),
  };
}

export const emptyDraft: Draft = {
  name: '',
  note: '',
  outline: [],
  keepOff: [],
  options: { date: '' },
  spreaderId: '',
  mixId: '',
  spreader: undefined,
  mix: undefined,
};
