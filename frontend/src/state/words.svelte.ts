// Quantities in words. The core writes them, a batch at a time; what it wrote
// once is remembered, so that a page of figures costs one question.
import { CoreFault, type Core, type FormatItem, type System, type Wording } from '../core/api';

const most = 4000;
const againMs = 2000; // after a fault; our own choice

export class Words {
  private readonly known = new Map<string, string>();
  private wanted = new Map<string, { item: FormatItem; system: System }>();
  private version = $state(0);

  constructor(private readonly core: Pick<Core, 'format'>) {}

  /** The words for a value, or undefined until the core has written them. */
  say(system: System, as: Wording, value: number | string, what?: string): string | undefined {
    void this.version; // whoever asks is told when the answer is there
    const key = `${system}|${as}|${what ?? ''}|${value}`;
    const found = this.known.get(key);
    if (found === undefined) this.want(key, { item: { as, value, ...(what ? { what } : {}) }, system });
    return found;
  }

  private want(key: string, wish: { item: FormatItem; system: System }): void {
    if (this.wanted.size === 0) queueMicrotask(() => void this.ask());
    this.wanted.set(key, wish);
  }

  private async ask(): Promise<void> {
    const batch = [...this.wanted];
    this.wanted = new Map();
    if (this.known.size > most) this.known.clear();
    try {
      await this.write(batch);
      this.version++;
    } catch (error) {
      if (!(error instanceof CoreFault)) throw error;
      setTimeout(() => this.version++, againMs); // a core that died begins anew: whoever still shows them asks again
    }
  }

  private async write(batch: [string, { item: FormatItem; system: System }][]): Promise<void> {
    for (const system of ['us', 'metric'] as const) {
      const mine = batch.filter(([, wish]) => wish.system === system);
      if (mine.length === 0) continue;
      const texts = await this.core.format(mine.map(([, wish]) => wish.item), system);
      mine.forEach(([key], i) => this.known.set(key, texts[i]!));
    }
  }
}
