// What a person tells of a finished job, as the form holds it, and what the core
// makes of it: what was used, and what that teaches about the gate.
import { CoreFault, type Core, type System } from '../core/api';
import type * as agronomy from '../generated/agronomy';
import type * as finished from '../generated/finished';
import type * as record from '../generated/record';
import type * as spreader from '../generated/spreader';
import { faultWords } from '../state/faultWords';
import { numberOf } from '../state/numberOf';

/** How a person knows what went out of the hopper. */
export type Way = 'mass' | 'bags' | 'left' | 'hoppers';

/** One filling of the hopper; what is empty is as the sheet says. */
export interface Filling {
  group: number;
  contents: string;
  materials: { id: string; name: string; bagged: boolean }[];
  way: Way;
  mass: Record<string, number | undefined>; // kilograms by material
  bags: Record<string, string>;
  left: number | undefined; // kilograms
  hoppers: string;
  gate: string;
  speed: number | undefined;
  passes: string;
}

/** The entries of a filling, by the names that faults have. */
export type Entry = 'used' | 'left_kg' | 'left_hoppers' | 'gate' | 'speed_mps' | 'passes';

export class Telling {
  date = $state('');
  note = $state('');
  fillings = $state<Filling[]>([]);
  job = $state.raw<finished.Job | undefined>();
  private faultAt = $state.raw<{ group: number; entry: string; material: string | undefined; words: string } | undefined>();
  private turn = 0;

  constructor(
    private readonly core: Pick<Core, 'lookBack'>,
    readonly sheet: agronomy.Sheet,
    done: record.Done | undefined,
    day: string, // of the sheet
  ) {
    this.date = done?.date ?? day;
    this.note = done?.note ?? '';
    this.fillings = sheet.spreader.groups.map((g) => fillingOf(g, sheet, done?.used ?? []));
  }

  /** Fillings of which enough is told, in the form that the core takes. */
  get told(): finished.Told {
    return { date: this.date, groups: this.fillings.map(groupOf).filter((g) => g !== undefined) };
  }

  /** What is wrong in an entry, of a material where it is one's: what cannot be
      read, else what the core found. */
  error(filling: Filling, entry: Entry, material?: string): string | undefined {
    const text = entry === 'gate' ? filling.gate : entry === 'passes' ? filling.passes : entry === 'left_hoppers' ? filling.hoppers : '';
    if (text.trim() && numberOf(text) === undefined) return 'Write a number, such as 2 or 1 1/2';
    const bags = (material && filling.bags[material]) || '';
    if (entry === 'used' && filling.way === 'bags' && bags.trim() && numberOf(bags) === undefined) return 'Write a number of bags, such as 2 or 1 1/2';
    const found = this.faultAt;
    if (found?.group !== filling.group || !found.entry.startsWith(entry)) return undefined;
    return found.material && found.material !== material ? undefined : found.words;
  }

  /** A fault that is no entry's. */
  get trouble(): string | undefined {
    return this.faultAt?.group === 0 ? this.faultAt.words : undefined;
  }

  async look(machine: spreader.Spreader | undefined, units: System): Promise<void> {
    const turn = ++this.turn;
    const told = this.told;
    if (told.groups.length === 0) {
      this.job = this.faultAt = undefined;
      return;
    }
    try {
      const job = await this.core.lookBack({ sheet: this.sheet, ...(machine ? { spreader: machine } : {}), told, units });
      if (turn === this.turn) [this.job, this.faultAt] = [job, undefined];
    } catch (error) {
      if (!(error instanceof CoreFault)) throw error;
      if (turn !== this.turn) return;
      this.job = undefined;
      const [, index, entry] = /^groups\[(\d+)\]\.(.*)$/.exec(error.fault.where?.field ?? '') ?? [];
      const at = told.groups[Number(index)];
      const material = at?.used?.[Number(/^used\[(\d+)\]/.exec(entry ?? '')?.[1])]?.id;
      this.faultAt = { group: at?.group ?? 0, entry: entry ?? '', material, words: faultWords(error.fault) };
    }
  }

  /** What is kept with the sheet; the counts that it has stay. */
  done(counts: record.Count[] | undefined): record.Done {
    const used = (this.job?.materials ?? []).map((m): record.Used => ({ id: m.id, mass_kg: m.used_kg }));
    return {
      date: this.date,
      ...(used.length ? { used } : {}),
      ...(counts?.length ? { counts } : {}),
      ...(this.note.trim() ? { note: this.note.trim() } : {}),
    };
  }
}

function fillingOf(setting: agronomy.GroupSetting, sheet: agronomy.Sheet, used: record.Used[]): Filling {
  const mine = sheet.materials.filter((m) => m.group === setting.group);
  const shared = (id: string) => sheet.materials.some((m) => m.id === id && m.group !== setting.group);
  const mass: Filling['mass'] = {};
  for (const { id, mass_kg } of used) {
    if (mine.some((m) => m.id === id) && !shared(id)) mass[id] = mass_kg;
  }
  return {
    group: setting.group,
    contents: setting.contents,
    materials: mine.map((m) => ({ id: m.id, name: m.material, bagged: (m.bag_kg ?? 0) > 0 })),
    way: 'mass',
    mass,
    bags: {},
    left: undefined,
    hoppers: '',
    gate: setting.gate_mark ? String(setting.gate_mark) : '',
    speed: setting.speed_mps,
    passes: String(sheet.drive.passes.length),
  };
}

function groupOf(f: Filling): finished.Group | undefined {
  const out = outOf(f);
  if (!out) return undefined;
  const [gate, passes] = [numberOf(f.gate), numberOf(f.passes)];
  return {
    group: f.group,
    ...out,
    ...(gate !== undefined ? { gate } : {}),
    ...(f.speed ? { speed_mps: f.speed } : {}),
    ...(passes !== undefined ? { passes: Math.trunc(passes) } : {}),
  };
}

/** What went out of the hopper, once it is told of every material in it. */
function outOf(f: Filling): Pick<finished.Group, 'left_kg' | 'left_hoppers' | 'used'> | undefined {
  if (f.way === 'left') return f.left === undefined ? undefined : { left_kg: f.left };
  if (f.way === 'hoppers') {
    const left_hoppers = numberOf(f.hoppers);
    return left_hoppers === undefined ? undefined : { left_hoppers };
  }
  const used = f.materials.map(({ id }): finished.Spent => {
    const given = f.way === 'mass' ? f.mass[id] : numberOf(f.bags[id] ?? '');
    return { id, ...(given === undefined ? {} : f.way === 'mass' ? { mass_kg: given } : { bags: given }) };
  });
  return used.every((u) => u.mass_kg !== undefined || u.bags !== undefined) ? { used } : undefined;
}
