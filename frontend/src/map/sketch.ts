// Drawing something new: an outline, a hole, a keep-off line, a cut.
import Draw from 'ol/interaction/Draw';
import Snap from 'ol/interaction/Snap';
import type OlMap from 'ol/Map';
import type VectorSource from 'ol/source/Vector';
import type LineString from 'ol/geom/LineString';
import type Polygon from 'ol/geom/Polygon';
import type { Mode, Sketch } from './adapter';
import type { Ink } from './colours';
import type { Hearers } from './hearers';
import { lineToDegrees } from './project';
import { sketchStyle } from './styles';

const snapPx = 14;

function sketchOf(mode: Mode): Sketch | undefined {
  return mode === 'outline' || mode === 'hole' || mode === 'keep-off' || mode === 'cut' ? mode : undefined;
}

export class SketchHand {
  private draw: Draw | undefined;
  private snaps: Snap[] = [];
  private ink: Ink | undefined;

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

  private listen(draw: Draw, what: Sketch, ring: boolean): void {
    draw.on('drawstart', (event) => {
      const geometry = event.feature.getGeometry() as Polygon | LineString;
      geometry.on('change', () => {
        const line = ring ? (geometry as Polygon).getCoordinates()[0]! : (geometry as LineString).getCoordinates();
        this.hearers.emit('sketching', { what, line: lineToDegrees(ring ? line.slice(0, -1) : line) });
      });
    });
    draw.on('drawend', (event) => {
      const geometry = event.feature.getGeometry() as Polygon | LineString;
      const line = ring ? (geometry as Polygon).getCoordinates()[0]! : (geometry as LineString).getCoordinates();
      // Once the library has put its own sketch away.
      queueMicrotask(() => this.hearers.emit('sketched', { what, line: lineToDegrees(line) }));
    });
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
    if (this.draw) this.map.removeInteraction(this.draw);
    this.draw = undefined;
  }
}
