// The plot on the desk: its draft with undo, what is kept of it, and the
// records it leans on. Every commit is kept at once.
import type { PrepareRequest, System } from '../core/api';
import type * as geo from '../generated/geo';
import type * as mix from '../generated/mix';
import type * as record from '../generated/record';
import type * as spreader from '../generated/spreader';
import type { Outline, LonLat } from '../map/adapter';
import type { Book } from './book.svelte';
import { plotOf, samePlot, withPlot, type Draft } from './draft';
import { begin, commit, mapHistory, redo, undo, type History } from './history';
import type { Keeping } from './keeper';
import { layTogether } from './merge';
import type { Conflict } from './outbox.svelte';
import { Parts } from './parts.svelte';
import { Problem, type Stamp } from './server';
import { sameContent, type Path } from './shelves';
import { today } from './today';

/** Where this device kept the choice of spreader and mix before it was part of the plot. */
const choiceKey = (plotId: string) => `evenfall.goods.${plotId}`;

/** In characters, as the program takes it. */
const longestName = 120;

/** The worst first. */
const gravity: Keeping[] = ['refused', 'conflict', 'waiting', 'saving', 'kept'];

export class Desk {
  history = $state.raw<History<Draft>>(begin(emptyDraft));
  kept = $state.raw<record.Plot | undefined>();
  property = $state.raw<record.Property | undefined>();
  private read = $state.raw<record.Survey[]>([]);
  /** Why the plot could not be opened. */
  unopened = $state.raw<Problem | undefined>();
  readonly parts: Parts;

  constructor(
    readonly book: Book,
    readonly plotId: string,
  ) {
    this.parts = new Parts(book);
    book.hearLaid((path, base, theirs) => this.layUnder(path, base, theirs));
  }

  /** The plot's measurements, without those that are deleted. */
  get surveys(): record.Survey[] {
    return this.read.filter((s) => !this.book.removals.ids.has(s.id));
  }

  get draft(): Draft {
    return this.history.present;
  }

  async open(): Promise<void> {
    try {
      const [plot] = await Promise.all([this.book.readPlot(this.plotId), this.loadSurveys()]);
      this.property = this.book.properties.find((p) => p.id === plot.property_id);
      if (this.kept) this.goOn(plot, this.kept);
      else this.begin(plot);
      this.unopened = undefined;
    } catch (error) {
      this.unopened = error instanceof Problem ? error : new Problem(0, 'unknown', String(error));
      if (this.unopened.status === 404) this.kept = undefined;
    }
  }

  private begin(plot: record.Plot): void {
    this.kept = plot;
    const unsent = this.book.outbox.wished('/plots', this.plotId);
    if (!unsent) this.book.replacePlot(plot);
    this.book.hearPlot(this.plotId, (kept) => this.learned(kept));
    this.history = begin(this.draftOf(plot));
    if (unsent && plot.revision > 0) this.history = commit(this.history, 'What was not sent', this.draftOf(unsent));
    this.takeOverChoices(plot);
  }

  /** The desk was left and is come back to: what is there since is taken up,
      and undo goes on where it was. */
  private goOn(plot: record.Plot, before: record.Plot): void {
    const unsent = this.book.outbox.wished('/plots', this.plotId) ?? this.book.unsentSurveys(this.plotId)[0];
    if (!unsent && !sameFields(this.draft, this.draftOf(before))) return this.begin(plot); // what was drafted was discarded
    if (!unsent && plot.revision > before.revision) {
      this.layUnder('/plots', before, plot);
      this.book.replacePlot(plot);
      this.kept = plot;
    }
    this.takeUp('/spreaders', this.book.spreaders, this.draft.spreaderId, this.draft.spreader);
    this.takeUp('/mixes', this.book.mixes, this.draft.mixId, this.draft.mix);
  }

  /** What became of the spreader or the mix since it was last on this desk. */
  private takeUp(path: Path, all: (Stamp & { document: unknown })[], id: string, document: unknown): void {
    const now = all.find((one) => one.id === id);
    if (now && document && JSON.stringify(now.document) !== JSON.stringify(document)) this.layUnder(path, { ...now, document } as Stamp, now);
    else if (!now) this.history = { ...this.history, present: this.stillThere(this.draft) };
  }

  /** What somebody else changed comes into every state of the history: undo goes
      back over our own changes alone. */
  private layUnder(path: Path, base: Stamp, theirs: Stamp): void {
    if (path === '/plots' && theirs.id === this.plotId) {
      const [from, to] = [fieldsOf(this.draftOf(base as record.Plot)), fieldsOf(this.draftOf(theirs as record.Plot))];
      this.history = mapHistory(this.history, (draft) => {
        const { coordinates, ...fields } = layTogether(from, fieldsOf(draft), to).mine;
        return this.withGoods({ ...draft, ...fields, outline: coordinates }, draft);
      });
    }
    if (path === '/spreaders' || path === '/mixes') {
      const [idKey, key] = path === '/spreaders' ? (['spreaderId', 'spreader'] as const) : (['mixId', 'mix'] as const);
      const [from, to] = [base, theirs].map((one) => (one as record.Spreader).document as object);
      const over = (draft: Draft) => (draft[idKey] === theirs.id && draft[key] ? { ...draft, [key]: layTogether(from!, draft[key], to!).mine } : draft);
      this.history = mapHistory(this.history, over);
    }
  }

  /** A draft with the spreader and the mix that it names, read anew where it named others before. */
  private withGoods(draft: Draft, before: Draft): Draft {
    return {
      ...draft,
      ...(draft.spreaderId === before.spreaderId ? {} : { spreader: this.spreaderOf(draft.spreaderId) }),
      ...(draft.mixId === before.mixId ? {} : { mix: this.mixOf(draft.mixId) }),
    };
  }

  /** What this device chose for the plot before the choice was part of it. */
  private takeOverChoices(plot: record.Plot): void {
    const key = choiceKey(this.plotId);
    const { spreaderId = '', mixId = '' } = chosenHere(key);
    const spreader = !plot.spreader_id && this.spreaderOf(spreaderId);
    const mix = !plot.mix_id && this.mixOf(mixId);
    if (spreader || mix) {
      this.change('Take over what was chosen on this device', { ...(spreader ? { spreaderId, spreader } : {}), ...(mix ? { mixId, mix } : {}) });
    }
    if (spreaderId || mixId) localStorage.removeItem(key);
  }

  private draftOf(plot: record.Plot): Draft {
    return this.dressed(withPlot(emptyDraft, plot));
  }

  /** The draft with its spreader and its mix. */
  private dressed(draft: Draft): Draft {
    const { spreaderId, mixId } = this.book.goodsOf({ id: this.plotId, spreader_id: draft.spreaderId, mix_id: draft.mixId });
    return { ...draft, spreaderId, mixId, spreader: this.spreaderOf(spreaderId), mix: this.mixOf(mixId) };
  }

  spreaderOf(id: string): spreader.Spreader | undefined {
    return this.book.spreaders.find((s) => s.id === id)?.document as spreader.Spreader | undefined;
  }

  mixOf(id: string): mix.Mix | undefined {
    return this.book.mixes.find((m) => m.id === id)?.document as mix.Mix | undefined;
  }

  async loadSurveys(): Promise<void> {
    this.read = await this.book.readSurveys(this.plotId);
  }

  /** How far everything on this desk is kept: the plot, its surveys and sheets, every spreader and mix. */
  private get standing(): { state: Keeping; problem: Problem | undefined } {
    const mine = [...this.book.outbox.standing].filter(([id, { path }]) => this.concerns(path, id) && !this.book.removals.ids.has(id)).map(([, one]) => one);
    mine.sort((a, b) => gravity.indexOf(a.state) - gravity.indexOf(b.state));
    return mine[0] ?? { state: 'kept', problem: undefined };
  }

  private concerns(path: Path, id: string): boolean {
    return path === '/spreaders' || path === '/mixes' || this.book.isOf(this.plotId, path, id);
  }

  get keeping(): Keeping {
    return this.standing.state;
  }

  get problem(): Problem | undefined {
    return this.standing.problem;
  }

  /** Where somebody else changed what is on this desk. */
  get conflict(): Conflict | undefined {
    return this.book.outbox.conflicts.find((c) => this.concerns(c.path, c.theirs.id));
  }

  private learned(plot: record.Plot): void {
    const measuredAnew = plot.outline !== undefined && JSON.stringify(plot.outline) !== JSON.stringify(this.kept?.outline);
    this.kept = plot;
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
      this.read = this.read.filter((s) => s.id !== before.id);
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
    this.move(undo(this.history), before);
  }

  redo(): void {
    const before = this.draft;
    this.move(redo(this.history), before);
  }

  private move(history: History<Draft>, before: Draft): void {
    this.history = { ...history, present: this.stillThere(this.withGoods(history.present, before)) };
    this.keep(before);
  }

  chooseSpreader(id: string): void {
    this.change('Choose another spreader', { spreaderId: id, spreader: this.spreaderOf(id) });
  }

  chooseMix(id: string): void {
    this.change('Choose another mix', { mixId: id, mix: this.mixOf(id) });
  }

  /** The names of the other plots that are spread with this spreader or mix. */
  alsoOn(path: '/spreaders' | '/mixes'): string[] {
    const which = path === '/mixes' ? 'mixId' : 'spreaderId';
    const mine = this.draft[which];
    return mine ? this.book.plots.filter((p) => p.id !== this.plotId && this.book.goodsOf(p)[which] === mine).map((p) => p.name) : [];
  }

  /** A copy of the spreader or the mix that is this plot's alone. */
  async makeOwn(path: '/spreaders' | '/mixes'): Promise<void> {
    const document = path === '/mixes' ? this.draft.mix : this.draft.spreader;
    if (!document) return;
    const name = `${document.name}, ${this.draft.name}`.slice(0, longestName).trim();
    const { id } = await this.book.outbox.make(path, { name, document: { ...document, name } });
    if (path === '/mixes') this.chooseMix(id);
    else this.chooseSpreader(id);
  }

  /** Deletes the plot. */
  remove(): void {
    if (this.kept) this.book.remove('/plots', this.book.plot(this.plotId) ?? this.kept, `the plot ${this.draft.name}`);
  }

  /** Deletes the spreader or the mix on the desk: the plot is worked with the
      first of the others from then on. */
  removeGoods(path: '/spreaders' | '/mixes'): void {
    const machine = path === '/spreaders';
    const [all, id]: [Stamp[], string] = machine ? [this.book.spreaders, this.draft.spreaderId] : [this.book.mixes, this.draft.mixId];
    const one = all.find((other) => other.id === id) as (Stamp & { name: string }) | undefined;
    if (!one) return;
    const choose = (chosen: string) => (machine ? this.chooseSpreader(chosen) : this.chooseMix(chosen));
    choose(all.find((other) => other.id !== id)?.id ?? '');
    this.book.remove(path, one, `the ${machine ? 'spreader' : 'mix'} ${one.name}`, () => choose(id));
  }

  /** A draft whose spreader and mix are still there: those that are deleted are left. */
  private stillThere(draft: Draft): Draft {
    const gone = (all: Stamp[], id: string) => id !== '' && !all.some((one) => one.id === id);
    return gone(this.book.spreaders, draft.spreaderId) || gone(this.book.mixes, draft.mixId) ? this.dressed(draft) : draft;
  }

  private keep(before: Draft): void {
    const now = this.draft;
    const { outbox } = this.book;
    void this.parts.follow(before.parts, now.parts);
    if (!samePlot(before, now) && this.kept) outbox.keep('/plots', this.kept, (kept) => this.plotToSend(kept));
    if (now.spreader && now.spreader !== before.spreader && now.spreaderId === before.spreaderId) {
      const [machine, there] = [now.spreader, this.book.spreaders.find((s) => s.id === now.spreaderId)];
      if (there) outbox.keep('/spreaders', there, (kept) => ({ ...kept, name: machine.name, document: machine }));
    }
    if (now.mix && now.mix !== before.mix && now.mixId === before.mixId) {
      const [goods, there] = [now.mix, this.book.mixes.find((m) => m.id === now.mixId)];
      if (there) outbox.keep('/mixes', there, (kept) => ({ ...kept, name: goods.name, document: goods }));
    }
  }

  /** The plot as drafted. An outline that comes with a survey not sent yet is left
      to it: sent along, it would count as drawn. */
  private plotToSend(kept: record.Plot): record.Plot {
    const plot = this.leaveOpen(plotOf(this.draft, kept), kept);
    const outline = JSON.stringify(plot.outline?.coordinates);
    const surveyed = this.book.unsentSurveys(this.plotId).some((s) => s.in_use && JSON.stringify(s.outline?.coordinates) === outline);
    if (!surveyed) return plot;
    const { outline: _, ...rest } = plot;
    return kept.revision === 0 || !kept.outline ? rest : { ...rest, outline: kept.outline };
  }

  /** A spreader or a mix that nobody chose for the plot, as the first of all, is
      worked with and not written down as chosen. */
  private leaveOpen(plot: record.Plot, kept: record.Plot): record.Plot {
    const stands = this.dressed(withPlot(emptyDraft, kept));
    const { spreader_id, mix_id, ...rest } = plot;
    return {
      ...rest,
      ...(spreader_id && (kept.spreader_id || spreader_id !== stands.spreaderId) ? { spreader_id } : {}),
      ...(mix_id && (kept.mix_id || mix_id !== stands.mixId) ? { mix_id } : {}),
    };
  }

  /** Settles the conflict that is shown; undo brings the other back. What only
      one of us changed is kept from both. */
  settle(choice: 'mine' | 'theirs'): void {
    const { conflict } = this;
    if (!conflict) return;
    const { outbox } = this.book;
    if (conflict.base) this.layUnder(conflict.path, conflict.base, conflict.there);
    const mine = this.draft;
    const theirs = conflict.path === '/plots' ? this.dressed(withPlot(mine, conflict.theirs as record.Plot)) : { ...mine, ...documentOf(conflict) };
    if (choice === 'theirs') {
      outbox.giveWay(conflict);
      if (this.drafts(conflict)) this.history = commit(this.history, 'Take what someone else wrote', theirs);
      return;
    }
    if (this.drafts(conflict)) this.history = commit(commit(this.history, 'Put ours over it', theirs), 'Put ours over what someone else wrote', mine);
    outbox.insist(conflict);
  }

  /** Whether the draft holds the record that is disputed. */
  private drafts({ path, theirs }: Conflict): boolean {
    return path === '/plots' || theirs.id === (path === '/spreaders' ? this.draft.spreaderId : this.draft.mixId);
  }

  retry(): void {
    void this.book.retry();
  }

  get surveyInUse(): record.Survey | undefined {
    return this.surveys.find((s) => s.in_use);
  }

  /** Another measurement of the plot becomes the one in use, as the server keeps it. */
  async putInUse(survey: record.Survey): Promise<void> {
    const used = await this.book.server.update<record.Survey>('/surveys', { ...survey, in_use: true });
    if (used.outline) await this.book.measuredAnew(this.plotId);
    await this.measuredBy(used, 'Use another measurement');
  }

  /** Another measurement; without an answer it is used here until it can be sent. */
  async addSurvey(survey: Omit<record.Survey, keyof record.Stamp>): Promise<void> {
    await this.measuredBy(await this.book.outbox.make('/surveys', survey), 'Add a measurement');
  }

  /** A measurement in use gives its outline to the draft; what else was changed
      here and is not kept yet stays. */
  private async measuredBy(survey: record.Survey, label: string): Promise<void> {
    await this.loadSurveys();
    if (!survey.in_use || !survey.outline) return;
    this.history = commit(this.history, label, { ...this.draft, outline: survey.outline.coordinates as Outline });
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

/** What a draft says of the plot itself; the program may turn the outline's rings. */
function fieldsOf({ name, note, outline: coordinates, keepOff, options, spreaderId, mixId }: Draft) {
  return { name, note, coordinates, keepOff, options, spreaderId, mixId };
}

function sameFields(a: Draft, b: Draft): boolean {
  return sameContent({ ...noStamp, ...fieldsOf(a) }, { ...noStamp, ...fieldsOf(b) });
}
const noStamp: Stamp = { id: '', revision: 0, created_at: '', updated_at: '' };

/** What this device kept under the key; nothing where it keeps nothing for the page. */
function chosenHere(key: string): Partial<Draft> {
  try {
    return JSON.parse(localStorage.getItem(key) ?? '{}') as Partial<Draft>;
  } catch {
    return {};
  }
}

/** What somebody else made of a spreader or a mix, as part of a draft. */
function documentOf({ path, theirs }: Conflict): Partial<Draft> {
  return path === '/spreaders'
    ? { spreader: (theirs as record.Spreader).document as spreader.Spreader }
    : { mix: (theirs as record.Mix).document as mix.Mix };
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
  parts: [],
};
