// Taking hold of corners that are there: drag one, pull an edge to add one,
// touch one to choose it.
import type Collection from 'ol/Collection';
import Coll from 'ol/Collection';
import Feature from 'ol/Feature';
import Modify from 'ol/interaction/Modify';
import Snap from 'ol/interaction/Snap';
import type OlMap from 'ol/Map';
import type VectorSource from 'ol/source/Vector';
import type LineString from 'ol/geom/LineString';
import Point from 'ol/geom/Point';
import type Polygon from 'ol/geom/Polygon';
import type { CornerRef } from './adapter';
import type { Ink } from './colours';
import type { Hearers } from './hearers';
import { lineToDegrees, outlineToDegrees, type XY } from './project';
import { chosenStyle } from './styles';

const reachPx = 22; // half a gloved fingertip

export class CornerHand {
  holding = false;
  private readonly modify: Modify;
  private readonly snap: Snap;
  private readonly held = new Coll<Feature>();
  private readonly chosen = new Feature<Point>();
  private choice: CornerRef | undefined;
  private active = false;
  private before = 0;

  constructor(
    private readonly map: OlMap,
    private readonly hearers: Hearers,
    private readonly outline: Feature<Polygon>,
    private readonly lines: Collection<Feature<LineString>>,
    neighbours: VectorSource,
    private readonly marks: VectorSource,
  ) {
    this.modify = new Modify({ features: this.held, pixelTolerance: reachPx, deleteCondition: () => false });
    this.snap = new Snap({ source: neighbours, pixelTolerance: 14 });
    this.modify.on('modifystart', () => this.take());
    this.modify.on('modifyend', (event) => this.letGo(event.mapBrowserEvent?.coordinate));
    map.on('click', (event) => {
      if (this.active) this.choose(this.nearest(event.coordinate, reachPx));
    });
  }

  setInk(ink: Ink): void {
    this.chosen.setStyle(chosenStyle(ink));
    this.modify.getOverlay().setStyle(chosenStyle(ink)); // what is about to be taken hold of
  }

  setActive(active: boolean): void {
    if (active === this.active) return;
    this.active = active;
    if (active) {
      this.renew();
      this.map.addInteraction(this.modify);
      this.map.addInteraction(this.snap);
    } else {
      this.map.removeInteraction(this.modify);
      this.map.removeInteraction(this.snap);
      this.choose(undefined);
    }
  }

  /** After the shape was drawn anew. */
  renew(): void {
    this.held.clear();
    if (this.outline.getGeometry()) this.held.push(this.outline);
    this.lines.forEach((line) => this.held.push(line));
    this.mark(this.choice);
  }

  mark(corner: CornerRef | undefined): void {
    this.choice = corner;
    const at = corner && this.coordinate(corner);
    this.marks.clear();
    if (!at) return;
    this.chosen.setGeometry(new Point(at));
    this.marks.addFeature(this.chosen);
  }

  private choose(corner: CornerRef | undefined): void {
    this.mark(corner);
    this.hearers.emit('corner', corner);
  }

  private take(): void {
    this.holding = true;
    this.before = this.count();
    const tell = () => this.hearers.emit('dragging', this.shapes());
    this.stopTelling = this.eachGeometry((g) => {
      g.on('change', tell);
      return () => g.un('change', tell);
    });
    this.marks.clear();
  }

  private stopTelling: (() => void)[] = [];

  private letGo(at: number[] | undefined): void {
    for (const stop of this.stopTelling) stop();
    this.stopTelling = [];
    this.holding = false;
    const corner = at ? this.nearest(at, reachPx * 2) : undefined;
    this.hearers.emit('dragged', { ...this.shapes(), added: this.count() > this.before });
    this.choose(corner);
  }

  private eachGeometry<R>(visit: (g: Polygon | LineString) => R): R[] {
    const shapes = [this.outline.getGeometry(), ...this.lines.getArray().map((l) => l.getGeometry())];
    return shapes.filter((g): g is Polygon | LineString => g !== undefined).map(visit);
  }

  private count(): number {
    return this.eachGeometry((g) => g.getFlatCoordinates().length).reduce((a, b) => a + b, 0);
  }

  private shapes() {
    return {
      outline: outlineToDegrees(this.outline.getGeometry()?.getCoordinates() ?? []),
      keepOff: this.lines.getArray().map((l) => lineToDegrees(l.getGeometry()!.getCoordinates())),
    };
  }

  private coordinate(c: CornerRef): number[] | undefined {
    if (c.of === 'keep-off') return this.lines.item(c.ring)?.getGeometry()?.getCoordinates()[c.corner];
    return this.outline.getGeometry()?.getCoordinates()[c.ring]?.[c.corner];
  }

  /** The corner under the finger, if one is within reach. */
  private nearest(at: number[], withinPx: number): CornerRef | undefined {
    let best: CornerRef | undefined;
    let least = withinPx * this.map.getView().getResolution()!;
    const consider = (ref: CornerRef, p: number[]) => {
      const d = Math.hypot(p[0]! - at[0]!, p[1]! - at[1]!);
      if (d <= least) [least, best] = [d, ref];
    };
    this.outline.getGeometry()?.getCoordinates().forEach((ring, i) =>
      ring.slice(0, -1).forEach((p, corner) => consider({ of: 'outline', ring: i, corner }, p as XY)),
    );
    this.lines.forEach((line, i) =>
      line.getGeometry()!.getCoordinates().forEach((p, corner) => consider({ of: 'keep-off', ring: i, corner }, p as XY)),
    );
    return best;
  }
}
