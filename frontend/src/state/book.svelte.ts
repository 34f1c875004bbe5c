// Everything that is kept: the records of the notebook, as last read, with
// what this device changed on top.
import type * as agronomy from '../generated/agronomy';
import type * as record from '../generated/record';
import { Outbox, type Standing } from './outbox.svelte';
import type { Remembered } from './remembered';
import { Removals, type Listed } from './removals.svelte';
import { Problem, type Server, type Stamp } from './server';
import { sendingOrder, type Path, type Shelves } from './shelves';
import { UnsentBox } from './unsent';

export interface Season {
  saved: record.Sheet;
  sheet: agronomy.Sheet;
}

/** What this device keeps for itself; without it everything ends with the page. */
export interface Device {
  store: Storage;
  memory: Remembered;
}

const remindMs = 800; // between two copies to the device's memory
const lateMs = 3000; // after which a page shows what the device remembers, and goes on waiting

export class Book {
  properties = $state.raw<record.Property[]>([]);
  plots = $state.raw<record.Plot[]>([]);
  spreaders = $state.raw<record.Spreader[]>([]);
  mixes = $state.raw<record.Mix[]>([]);
  sheets = $state.raw<record.Sheet[]>([]);
  seasons = $state.raw<ReadonlyMap<string, Season>>(new Map()); // newest sheet by plot
  read = $state(false);
  problem = $state.raw<Problem | undefined>();
  /** The program did not answer: this is what the device last read. */
  remembered = $state(false);
  readonly outbox: Outbox;
  readonly removals: Removals;
  private surveys = new Map<string, record.Survey[]>(); // by plot, as last read
  /** Outlines that surveys of ours gave a plot and that are not read back, by plot. */
  private given = new Map<string, number>();
  private hearers = new Map<string, (plot: record.Plot) => void>();
  private desks = new Set<(path: Path, base: Stamp, theirs: Stamp) => void>();
  private reminding: ReturnType<typeof setTimeout> | undefined;

  constructor(
    readonly server: Server,
    private readonly device?: Device,
  ) {
    this.outbox = new Outbox(server, device && new UnsentBox(device.store), {
      changed: (path, one) => this.show(path, one),
      kept: (path, one, wished) => this.took(path, one, wished),
      met: (path, theirs) => {
        if (path === '/plots') void this.bring(theirs as record.Plot).catch(() => undefined); // then its id has no name yet
      },
      laid: (path, base, theirs) => this.desks.forEach((hear) => hear(path, base, theirs)),
      gone: (path, id) => this.drop(path, id),
    }, (id) => this.removals.ids.has(id));
    this.removals = new Removals(server, device?.store, {
      newest: (path, record) => this.outbox.newest(path, record as Shelves[typeof path]),
      sending: (id) => this.outbox.standing.get(id)?.state === 'saving',
      wishes: (plotId) => this.outbox.wished('/plots', plotId) !== undefined,
    }, {
      hidden: ({ path, record }) => this.drop(path, record.id),
      shown: (one) => this.bringBack(one),
      gone: ({ path, record }) => this.outbox.giveUp(path, record.id),
      passed: () => void this.load(),
    });
  }

  async load(): Promise<void> {
    const late = setTimeout(() => void this.remember(), lateMs);
    try {
      [this.properties, this.plots, this.spreaders, this.mixes, this.sheets] = await Promise.all([
        this.server.list<record.Property>('/properties'),
        this.server.list<record.Plot>('/plots'),
        this.server.list<record.Spreader>('/spreaders'),
        this.server.list<record.Mix>('/mixes'),
        this.server.list<record.Sheet>('/sheets'),
      ]);
      this.problem = undefined;
      this.remembered = false;
      this.putOnTop();
      this.read = true;
      this.copy(); // before anything can go amiss: without a copy the next start shows nothing
      await this.loadSeasons();
    } catch (error) {
      this.problem = error instanceof Problem ? error : new Problem(0, 'unknown', String(error));
      if (this.problem.unreachable) await this.remember();
    } finally {
      clearTimeout(late);
    }
  }

  /** What is not sent yet goes on top of what the program has. */
  private putOnTop(): void {
    this.removals.takeUp();
    for (const path of sendingOrder) for (const id of this.removals.ids) this.drop(path, id);
    for (const path of ['/properties', '/spreaders', '/mixes', '/plots', '/sheets'] as const) {
      for (const one of this.outbox.allWished(path)) this.show(path, one);
    }
    this.outbox.takeUp();
    for (const survey of this.outbox.allWished('/surveys')) this.show('/surveys', survey);
    this.outbox.sendOn();
  }

  /** The newest saved sheet of each plot, whole. */
  private async loadSeasons(): Promise<void> {
    const newest = new Map<string, record.Sheet>();
    for (const sheet of this.sheets) {
      const before = newest.get(sheet.plot_id);
      if (sheet.revision > 0 && !this.removals.ids.has(sheet.id) && (!before || before.date <= sheet.date)) newest.set(sheet.plot_id, sheet);
    }
    const whole = await Promise.all([...newest.values()].map((s) => this.server.get<record.Sheet>(`/sheets/${s.id}`)));
    this.seasons = new Map(whole.filter(({ id }) => !this.removals.ids.has(id)).map((saved) => [saved.plot_id, { saved, sheet: saved.result as agronomy.Sheet }]));
    await this.device?.memory.write('seasons', [...this.seasons]).catch(() => undefined); // a copy less does no harm
  }

  /** A kept sheet as it was worked out; nothing where that cannot be read now. */
  async resultOf({ id, plot_id }: record.Sheet): Promise<agronomy.Sheet | undefined> {
    const season = this.seasons.get(plot_id);
    if (season?.saved.id === id) return season.sheet;
    try {
      return (await this.server.get<record.Sheet>(`/sheets/${id}`)).result as agronomy.Sheet;
    } catch (error) {
      if (error instanceof Problem) return undefined;
      throw error;
    }
  }

  /** Copies what was read to the device, some time after the last change. */
  private remind(): void {
    if (!this.device || !this.read || this.reminding) return;
    this.reminding = setTimeout(() => {
      this.reminding = undefined;
      this.copy();
    }, remindMs);
  }

  private copy(): void {
    const { properties, plots, spreaders, mixes, sheets } = this;
    const surveys = [...this.surveys];
    void this.device?.memory.write('records', { properties, plots, spreaders, mixes, sheets, surveys }).catch(() => undefined);
  }

  /** Shows what the device last read, when it has read anything. */
  private async remember(): Promise<void> {
    if (this.read || !this.device) return;
    const { memory } = this.device;
    try {
      const found = await memory.read<Pick<Book, 'properties' | 'plots' | 'spreaders' | 'mixes' | 'sheets'> & { surveys: [string, record.Survey[]][] }>('records');
      if (found && !this.read) {
        const { surveys, ...lists } = found;
        Object.assign(this, lists);
        this.surveys = new Map(surveys);
        this.seasons = new Map(await memory.read<[string, Season][]>('seasons'));
      }
    } catch {
      // Without a copy there is still what was made here and not sent.
    }
    this.putOnTop();
    this.remembered = true;
    this.read = true;
  }

  /** Deletes a record: a plot with the sheets that are kept of it. */
  remove(path: Path, one: Stamp, says: string, back?: () => void): void {
    const sheets: Listed[] = this.sheets.filter((sheet) => path === '/plots' && sheet.plot_id === one.id).map((sheet) => ({ path: '/sheets', record: sheet }));
    const surveys: Listed[] = path === '/plots' ? this.unsentSurveys(one.id).map((survey) => ({ path: '/surveys', record: survey })) : [];
    this.removals.remove({ path, record: one, says, besides: [...sheets, ...surveys] }, back);
  }

  private bringBack({ path, record }: Listed): void {
    this.show(path, this.outbox.wished(path, record.id) ?? record);
    this.outbox.sendOn(); // what was not sent of it goes on
    if (path === '/sheets') void this.loadSeasons().catch(() => undefined); // shown at the next reading
  }

  plot(id: string): record.Plot | undefined {
    return this.plots.find((p) => p.id === id);
  }

  /** A plot as the program has it now; as this device knows it when nobody answers. */
  async readPlot(id: string): Promise<record.Plot> {
    const here = this.plot(id);
    if (here && (here.revision === 0 || this.remembered)) return here;
    try {
      const plot = this.outbox.newest('/plots', await this.server.get<record.Plot>(`/plots/${id}`));
      await this.bring(plot);
      return plot;
    } catch (error) {
      if (here && error instanceof Problem && error.unreachable) return here;
      throw error;
    }
  }

  /** Reads the spreader and the mix that a plot names, where somebody else has made them since. */
  async bring(plot: record.Plot): Promise<void> {
    const { spreader_id, mix_id } = plot;
    if (spreader_id && !this.spreaders.some((s) => s.id === spreader_id)) this.show('/spreaders', await this.server.get<record.Spreader>(`/spreaders/${spreader_id}`));
    if (mix_id && !this.mixes.some((m) => m.id === mix_id)) this.show('/mixes', await this.server.get<record.Mix>(`/mixes/${mix_id}`));
  }

  /** The spreader and the mix that a plot is spread with: those that it names,
      else its last sheet's, else the first. */
  goodsOf(plot: Pick<record.Plot, 'id' | 'spreader_id' | 'mix_id'>): { spreaderId: string; mixId: string } {
    const season = this.seasons.get(plot.id)?.saved;
    const pick = (all: Stamp[], ...ids: (string | undefined)[]) => ids.find((id) => all.some((one) => one.id === id)) ?? all[0]?.id ?? '';
    return { spreaderId: pick(this.spreaders, plot.spreader_id, season?.spreader_id), mixId: pick(this.mixes, plot.mix_id, season?.mix_id) };
  }

  /** Every survey of a plot, those included that are not sent yet. */
  async readSurveys(plotId: string): Promise<record.Survey[]> {
    if (!this.remembered && this.plot(plotId)?.revision !== 0) {
      try {
        this.surveys.set(plotId, await this.server.list<record.Survey>(`/surveys?plot_id=${plotId}`));
        this.remind();
      } catch (error) {
        if (!(error instanceof Problem && error.unreachable)) throw error;
      }
    }
    const unsent = this.unsentSurveys(plotId);
    const read = (this.surveys.get(plotId) ?? []).filter((s) => !unsent.some((u) => u.id === s.id));
    const taken = unsent.some((s) => s.in_use);
    return [...read.map((s) => (taken ? { ...s, in_use: false } : s)), ...unsent];
  }

  unsentSurveys(plotId: string): record.Survey[] {
    return this.outbox.allWished('/surveys').filter((s) => s.plot_id === plotId);
  }

  /** Tells whoever works on a plot when the program has a newer one. */
  hearPlot(id: string, hear: (plot: record.Plot) => void): void {
    this.hearers.set(id, hear);
  }

  /** Tells whoever drafts a record when somebody else's change of it is taken along. */
  hearLaid(hear: (path: Path, base: Stamp, theirs: Stamp) => void): void {
    this.desks.add(hear);
  }

  /** Whether a record is of this plot: the plot itself, a survey or a sheet of it. */
  isOf(plotId: string, path: Path, id: string): boolean {
    if (path === '/plots') return id === plotId;
    return (path === '/surveys' || path === '/sheets') && this.outbox.wished(path, id)?.plot_id === plotId;
  }

  /** Where a plot stands, with its surveys and sheets, while not all of it is kept. */
  standingOf(plotId: string): Standing | undefined {
    return [...this.outbox.standing].find(([id, { path }]) => this.isOf(plotId, path, id))?.[1];
  }

  /** Asks the program again, as when the network is back. */
  async retry(): Promise<void> {
    this.outbox.sendOn(true);
    this.removals.sendOn();
    if (this.remembered || this.problem) await this.load();
  }

  /** Gives up what this device wishes of a record, and what was made for it, and
      shows what the program has. */
  async discard(path: Path, id: string): Promise<void> {
    this.outbox.discard(path, id);
    await this.load();
  }

  private took(path: Path, one: Stamp, wished: Stamp | undefined): void {
    if (this.remembered) {
      this.remembered = false; // the program answers again
      void this.load();
    }
    this.show(path, wished ?? one);
    if (path === '/plots') this.hearers.get(one.id)?.(one as record.Plot);
    if (path === '/sheets') void this.loadSeasons().catch(() => undefined); // shown at the next reading
    const survey = one as record.Survey;
    if (path === '/surveys' && survey.in_use && survey.outline) void this.measuredAnew(survey.plot_id);
  }

  /** A survey in use gave its plot another outline. */
  async measuredAnew(plotId: string): Promise<void> {
    this.given.set(plotId, (this.given.get(plotId) ?? 0) + 1);
    try {
      const plot = await this.outbox.holdBack(plotId, async () => {
        const read = await this.server.get<record.Plot>(`/plots/${plotId}`);
        this.learnOutline(read);
        return read;
      });
      this.took('/plots', plot, this.outbox.wished('/plots', plotId));
    } catch (error) {
      if (!(error instanceof Problem)) throw error; // read again with the plot
    }
  }

  /** Learns a plot whose outline our surveys gave, unless somebody else changed
      it besides: then a change of ours has to meet theirs. */
  private learnOutline(read: record.Plot): void {
    const wished = this.outbox.wished('/plots', read.id);
    const beyond = wished ? read.revision - wished.revision : 0;
    const given = this.given.get(read.id) ?? 0;
    if (beyond <= given) this.outbox.learn('/plots', read);
    this.given.set(read.id, wished ? Math.max(0, given - beyond) : 0);
  }

  replacePlot(plot: record.Plot): void {
    this.replace('/plots', plot);
  }

  replaceSpreader(one: record.Spreader): void {
    this.replace('/spreaders', one);
  }

  /** A record as the program has it now, changed by another way than the outbox. */
  private replace<P extends Path>(path: P, one: Shelves[P]): void {
    this.show(path, this.outbox.learn(path, one));
  }

  private show(path: Path, one: Stamp): void {
    if (this.removals.ids.has(one.id)) return;
    switch (path) {
      case '/properties':
        this.properties = put(this.properties, one as record.Property);
        break;
      case '/spreaders':
        this.spreaders = put(this.spreaders, one as record.Spreader);
        break;
      case '/mixes':
        this.mixes = put(this.mixes, one as record.Mix);
        break;
      case '/plots':
        this.plots = put(this.plots, one as record.Plot);
        this.unsentSurveys(one.id).forEach((survey) => this.showOutline(survey));
        break;
      case '/sheets':
        this.sheets = put(this.sheets, one as record.Sheet);
        break;
      case '/surveys':
        this.showOutline(one as record.Survey);
    }
    this.remind();
  }

  /** A survey that is not sent yet shows its outline on the plot already. */
  private showOutline(survey: record.Survey): void {
    const plot = this.plot(survey.plot_id);
    if (plot && survey.in_use && survey.outline) this.plots = put(this.plots, { ...plot, outline: survey.outline });
  }

  private drop(path: Path, id: string): void {
    const others = <T extends Stamp>(all: T[]) => all.filter((one) => one.id !== id);
    if (path === '/properties') this.properties = others(this.properties);
    if (path === '/spreaders') this.spreaders = others(this.spreaders);
    if (path === '/mixes') this.mixes = others(this.mixes);
    if (path === '/plots') this.plots = others(this.plots);
    if (path === '/sheets') this.dropSheet(id);
    this.remind();
  }

  /** The season of a plot is then the newest sheet that is left. */
  private dropSheet(id: string): void {
    this.sheets = this.sheets.filter((one) => one.id !== id);
    const left = [...this.seasons].filter(([, { saved }]) => saved.id !== id);
    if (left.length === this.seasons.size) return;
    this.seasons = new Map(left);
    void this.loadSeasons().catch(() => undefined); // shown at the next reading
  }
}

/** The list with a record in its place, or at its end. */
function put<T extends Stamp>(all: T[], one: T): T[] {
  return all.some((other) => other.id === one.id) ? all.map((other) => (other.id === one.id ? one : other)) : [...all, one];
}
