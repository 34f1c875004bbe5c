// Everything that is kept: the records of the notebook, as last read.
import type * as agronomy from '../generated/agronomy';
import type * as record from '../generated/record';
import { Problem, type Server } from './server';

export interface Season {
  saved: record.Sheet;
  sheet: agronomy.Sheet;
}

export class Book {
  properties = $state.raw<record.Property[]>([]);
  plots = $state.raw<record.Plot[]>([]);
  spreaders = $state.raw<record.Spreader[]>([]);
  mixes = $state.raw<record.Mix[]>([]);
  sheets = $state.raw<record.Sheet[]>([]);
  seasons = $state.raw<ReadonlyMap<string, Season>>(new Map()); // newest sheet by plot
  read = $state(false);
  problem = $state.raw<Problem | undefined>();

  constructor(readonly server: Server) {}

  async load(): Promise<void> {
    try {
      [this.properties, this.plots, this.spreaders, this.mixes, this.sheets] = await Promise.all([
        this.server.list<record.Property>('/properties'),
        this.server.list<record.Plot>('/plots'),
        this.server.list<record.Spreader>('/spreaders'),
        this.server.list<record.Mix>('/mixes'),
        this.server.list<record.Sheet>('/sheets'),
      ]);
      this.problem = undefined;
      this.read = true;
      await this.loadSeasons();
    } catch (error) {
      this.problem = error instanceof Problem ? error : new Problem(0, 'unknown', String(error));
    }
  }

  /** The newest saved sheet of each plot, whole. */
  private async loadSeasons(): Promise<void> {
    const newest = new Map<string, record.Sheet>();
    for (const sheet of this.sheets) {
      const before = newest.get(sheet.plot_id);
      if (!before || before.date <= sheet.date) newest.set(sheet.plot_id, sheet);
    }
    const whole = await Promise.all([...newest.values()].map((s) => this.server.get<record.Sheet>(`/sheets/${s.id}`)));
    this.seasons = new Map(whole.map((saved) => [saved.plot_id, { saved, sheet: saved.result as agronomy.Sheet }]));
  }

  plot(id: string): record.Plot | undefined {
    return this.plots.find((p) => p.id === id);
  }

  replacePlot(plot: record.Plot): void {
    const there = this.plots.some((p) => p.id === plot.id);
    this.plots = there ? this.plots.map((p) => (p.id === plot.id ? plot : p)) : [...this.plots, plot];
  }

  replaceSpreader(one: record.Spreader): void {
    const there = this.spreaders.some((s) => s.id === one.id);
    this.spreaders = there ? this.spreaders.map((s) => (s.id === one.id ? one : s)) : [...this.spreaders, one];
  }

  replaceMix(one: record.Mix): void {
    const there = this.mixes.some((m) => m.id === one.id);
    this.mixes = there ? this.mixes.map((m) => (m.id === one.id ? one : m)) : [...this.mixes, one];
  }

  async addSheet(sheet: record.Sheet): Promise<void> {
    this.sheets = [...this.sheets, sheet];
    await this.loadSeasons();
  }
}
