// The hand on the ground: what a touch means now, which corner it holds, and
// what the map's reports make of the draft.
import type { Core, Outline, Piece, System } from '../core/api';
import { CoreFault } from '../core/api';
import type { CornerRef, GroundMap, LonLat, MapEvents, Mode } from '../map/adapter';
import { addCorner, cornerAt, moveCorner, moveLineCorner, removeCorner, removeHole, removeLineCorner } from './corners';
import type { Desk } from './desk.svelte';
import type { Live } from './live.svelte';

/** A cut that is drawn and not made yet. */
export interface Cut {
  of: Outline;
  line: LonLat[];
  pieces: Piece[];
}

export class Hand {
  mode = $state<Mode>('look');
  corner = $state.raw<CornerRef | undefined>();
  pointer = $state.raw<LonLat | undefined>();
  /** The shape while it moves under the finger; not yet a change. */
  moving = $state.raw<{ outline: Outline; keepOff: LonLat[][] } | undefined>();
  /** The corners that are placed of what is being drawn, in the order they were touched. */
  sketch = $state.raw<LonLat[]>([]);
  /** Where the pointer is while something is drawn, unless it lies on the last corner. */
  reach = $state.raw<LonLat | undefined>();
  trouble = $state('');
  /** Whether to cut like this is asked. */
  cut = $state.raw<Cut | undefined>();
  /** How far to stay away from this line is asked: until then it keeps nothing off. */
  keepOffLine = $state.raw<LonLat[] | undefined>();
  map = $state.raw<GroundMap | undefined>();
  /** The drive is played: the ground stays in view. */
  watched = $state(false);

  constructor(
    private readonly desk: Desk,
    private readonly live: Live,
    private readonly core: Pick<Core, 'split'>,
    private readonly system: () => System,
  ) {}

  attach(map: GroundMap): () => void {
    this.map = map;
    const hears = [
      map.on('dragging', (shapes) => this.drag(shapes)),
      map.on('dragged', (shapes) => this.drop(shapes)),
      map.on('corner', (corner) => (this.corner = corner)),
      map.on('pointer', (at) => (this.pointer = at)),
      map.on('sketching', (drawn) => this.sketching(drawn.placed, drawn.reach)),
      map.on('sketched', (done) => void this.drawn(done)),
      map.on('touched', (at) => this.touched(at)),
    ];
    return () => {
      for (const stop of hears) stop();
      this.map = undefined;
    };
  }

  setMode(mode: Mode): void {
    this.mode = mode;
    this.sketching([]);
    this.trouble = '';
    if (mode !== 'asked') this.cut = this.keepOffLine = undefined;
    if (mode !== 'corners') this.choose(undefined);
    this.map?.setMode(mode);
  }

  private sketching(placed: LonLat[], reach?: LonLat): void {
    this.sketch = placed;
    this.reach = reach;
  }

  choose(corner: CornerRef | undefined): void {
    this.corner = corner;
    this.map?.select(corner);
  }

  get outline(): Outline {
    return this.moving?.outline ?? this.desk.draft.outline;
  }

  private get lines(): LonLat[][] {
    return this.desk.draft.keepOff.map((k) => k.line);
  }

  drag(shapes: { outline: Outline; keepOff: LonLat[][] }): Promise<void> {
    this.moving = shapes;
    const system = this.system();
    const request = this.desk.request(system, shapes.outline, shapes.keepOff);
    return this.live.drag(shapes.outline, request, system);
  }

  drop({ outline, keepOff, added }: MapEvents['dragged']): void {
    this.moving = undefined;
    const { draft } = this.desk;
    const lines = draft.keepOff.map((k, i) => ({ ...k, line: keepOff[i] ?? k.line }));
    const movedLines = JSON.stringify(keepOff) !== JSON.stringify(this.lines);
    this.desk.change(added ? 'Add a corner' : 'Move a corner', {
      outline: JSON.stringify(outline) === JSON.stringify(draft.outline) ? draft.outline : outline,
      keepOff: movedLines ? lines : draft.keepOff,
    });
  }

  private async drawn({ what, line }: MapEvents['sketched']): Promise<void> {
    this.sketching([]);
    const { draft } = this.desk;
    if (what === 'cut') return this.split(line);
    if (what === 'keep-off') {
      this.keepOffLine = line;
      return this.setMode('asked');
    }
    if (what === 'outline') this.desk.change('Draw the outline', { outline: [line] });
    if (what === 'hole') this.desk.change('Leave a hole', { outline: [...draft.outline, line] });
    this.setMode('corners');
  }

  /** The line that was drawn keeps everything off by so many metres. */
  stayAway(distance_m: number): void {
    const { keepOff } = this.desk.draft;
    const line = this.keepOffLine;
    if (line) this.desk.change('Draw a keep-off line', { keepOff: [...keepOff, { name: `Keep-off line ${keepOff.length + 1}`, line, distance_m, for: 'both' }] });
    this.setMode('corners');
  }

  private touched(at: LonLat): void {
    if (this.mode !== 'start') return;
    this.desk.change('Say where you come in', { options: { ...this.desk.draft.options, start: at } });
    this.setMode('look');
  }

  private async split(line: LonLat[]): Promise<void> {
    const of = this.desk.draft.outline;
    try {
      const pieces = await this.core.split(of, line);
      if (this.mode !== 'cut') return; // left meanwhile
      this.cut = { of, line, pieces };
      this.setMode('asked');
    } catch (error) {
      if (!(error instanceof CoreFault)) throw error;
      this.setMode('cut');
      this.trouble = `${error.message}: ${error.fault.remedy ?? ''}`;
    }
  }

  deleteCorner(): void {
    const { corner } = this;
    if (!corner) return;
    const { draft } = this.desk;
    if (corner.of === 'keep-off') {
      const rest = removeLineCorner(draft.keepOff[corner.ring]!.line, corner.corner);
      if (!rest) return this.deleteLine(corner.ring);
      this.choose(undefined);
      this.desk.change('Delete a corner', { keepOff: draft.keepOff.map((k, i) => (i === corner.ring ? { ...k, line: rest } : k)) });
      return;
    }
    const outline = removeCorner(draft.outline, corner.ring, corner.corner);
    if (!outline) {
      this.trouble = 'A plot has at least three corners';
      return;
    }
    this.choose(undefined);
    this.desk.change('Delete a corner', { outline });
  }

  deleteHole(ring: number): void {
    this.choose(undefined);
    this.desk.change('Delete a hole', { outline: removeHole(this.desk.draft.outline, ring) });
  }

  deleteLine(which: number): void {
    this.choose(undefined);
    this.desk.change('Delete a keep-off line', { keepOff: this.desk.draft.keepOff.filter((_, i) => i !== which) });
  }

  /** Moves the chosen corner by some metres. */
  nudge(eastM: number, northM: number): void {
    const { corner, map } = this;
    const from = corner && cornerAt(this.desk.draft.outline, this.lines, corner);
    if (from && map) this.place(map.shifted(from, eastM, northM));
  }

  /** Puts the chosen corner at a position. */
  place(to: LonLat): void {
    const { corner } = this;
    if (!corner) return;
    const { draft } = this.desk;
    if (corner.of === 'outline') {
      this.desk.change('Move a corner', { outline: moveCorner(draft.outline, corner.ring, corner.corner, to) });
    } else {
      const keepOff = draft.keepOff.map((k, i) => (i === corner.ring ? { ...k, line: moveLineCorner(k.line, corner.corner, to) } : k));
      this.desk.change('Move a corner', { keepOff });
    }
    this.choose(corner);
  }

  /** A corner halfway to the next, where the core says the middle is. */
  insertAfter(): void {
    const { corner } = this;
    const edge = this.live.measured?.edges.find((e) => e.ring === corner?.ring && e.corner === corner.corner);
    if (!corner || corner.of !== 'outline' || !edge) return;
    this.desk.change('Add a corner', { outline: addCorner(this.desk.draft.outline, corner.ring, corner.corner, edge.at) });
    this.choose({ ...corner, corner: corner.corner + 1 });
  }
}
