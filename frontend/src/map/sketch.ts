// Drawing something new: an outline, a hole, a keep-off line, a cut.
import Draw from 'ol/interaction/Draw';
import Snap from 'ol/interaction/Snap';
import type OlMap from 'ol/Map';
import type VectorSource from 'ol/source/Vector';
import type LineString from 'ol/geom/LineString';
import type Polygon from 'ol/geom/Polygon';
import type MapBrowserEvent from 'ol/MapBrowserEvent';
import { noModifierKeys } from 'ol/events/condition';
import { fewestCorners, type Mode, type Sketch } from './adapter';
import type { Ink } from './colours';
import type { Hearers } from './hearers';
import { lineToDegrees, toDegrees, type XY } from './project';
import { sketchStyle } from './styles';

const snapPx = 14;

function sketchOf(mode: Mode): Sketch | undefined {
  return mode === 'outline' || mode === 'hole' || mode === 'keep-off' || mode === 'cut' ? mode : undefined;
}

export class SketchHand {
  private draw: Draw | undefined;
  private snaps: Snap[] = [];
  private ink: Ink | undefined;
  private placed: number[][] = [];

  constructor(
    private readonly map: OlMap,
    private readonly hearers: Hearers,
    private readonly neighbours: VectorSource,
    private readonly shape: VectorSource,
  ) {}

  setInk(ink: Ink): void {
    this.ink = ink;
  }

  begin(mode: Mode): void {
    this.stop();
    const what = sketchOf(mode);
    if (!what) return;
    const ring = what === 'outline' || what === 'hole';
    this.draw = new Draw({
      type: ring ? 'Polygon' : 'LineString',
      stopClick: true,
      clickTolerance: 12,
      dragVertexDelay: 0,
      snapTolerance: snapPx,
      condition: (event) => noModifierKeys(event) && !this.repeats(event, fewestCorners[what]),
      ...(this.ink ? { style: sketchStyle(this.ink) } : {}),
    });
    this.listen(this.draw, what, ring);
    this.map.addInteraction(this.draw);
    for (const source of [this.neighbours, this.shape]) {
      const snap = new Snap({ source, pixelTolerance: snapPx });
      this.snaps.push(snap);
      this.map.addInteraction(snap);
    }
  }

  /** Whether a touch falls on a corner that is placed already, before there are enough to end on one. */
  private repeats(event: MapBrowserEvent, fewest: number): boolean {
    if (this.placed.length >= fewest) return false;
    const [x, y] = event.pixel as XY;
    return this.placed.some((at) => {
      const [px, py] = this.map.getPixelFromCoordinate(at) as XY;
      return Math.hypot(px - x, py - y) <= snapPx;
    });
  }

  private listen(draw: Draw, what: Sketch, ring: boolean): void {
    const lineOf = (geometry: Polygon | LineString) => (ring ? (geometry as Polygon).getCoordinates()[0]! : (geometry as LineString).getCoordinates());
    draw.on('drawstart', (event) => {
      const geometry = event.feature.getGeometry() as Polygon | LineString;
      geometry.on('change', () => this.tell(what, ring ? lineOf(geometry).slice(0, -1) : lineOf(geometry)));
      this.tell(what, lineOf(geometry)); // a ring is not closed yet when it begins
    });
    draw.on('drawabort', () => this.tell(what, []));
    draw.on('drawend', (event) => {
      const line = lineOf(event.feature.getGeometry() as Polygon | LineString);
      this.placed = [];
      // Once the library has put its own sketch away.
      queueMicrotask(() => this.hearers.emit('sketched', { what, line: lineToDegrees(line) }));
    });
  }

  /** The library's sketch ends in a point that follows the pointer and is no corner yet. */
  private tell(what: Sketch, sketch: number[][]): void {
    this.placed = sketch.slice(0, -1);
    const placed = lineToDegrees(this.placed);
    const pointer = sketch.length ? toDegrees(sketch.at(-1)!) : undefined;
    this.hearers.emit('sketching', { what, placed, reach: String(pointer) === String(placed.at(-1)) ? undefined : pointer });
  }

  takeBack(): void {
    this.draw?.removeLastPoint();
  }

  finish(): void {
    this.draw?.finishDrawing();
  }

  private stop(): void {
    for (const snap of this.snaps) this.map.removeInteraction(snap);
    this.snaps = [];
    this.placed = [];
    if (this.draw) this.map.removeInteraction(this.draw);
    this.draw = undefined;
  }
}
