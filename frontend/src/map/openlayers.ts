// The map on OpenLayers: paper first, tiles only when a person asked for them.
import Collection from 'ol/Collection';
import Feature from 'ol/Feature';
import OlMap from 'ol/Map';
import View from 'ol/View';
import ScaleLine from 'ol/control/ScaleLine';
import { defaults as usualInteractions } from 'ol/interaction/defaults';
import VectorLayer from 'ol/layer/Vector';
import VectorSource from 'ol/source/Vector';
import LineString from 'ol/geom/LineString';
import MultiLineString from 'ol/geom/MultiLineString';
import Point from 'ol/geom/Point';
import Polygon from 'ol/geom/Polygon';
import type Style from 'ol/style/Style';
import { boundingExtent, createEmpty, extend, isEmpty } from 'ol/extent';
import { offset } from 'ol/sphere';
import type { CornerRef, CutPicture, Drive, Ground, GroundMap, GroundPicture, LonLat, MapEvents, Mode, UnitSystem, Wrong } from './adapter';
import { emptyPicture } from './adapter';
import { readInk, type Ink } from './colours';
import { CornerHand } from './corners';
import { paint } from './evenness';
import { Hearers } from './hearers';
import { drawGrid, drawSheeted, type Sheeted } from './paper';
import { flatToMap, lineToMap, outlineToMap, toDegrees, toMap, type XY } from './project';
import { SketchHand } from './sketch';
import * as styles from './styles';

const nearestM = 0.02; // metres of the map per pixel, closest in
const farthestM = 40_000;
const overlayPx = 58; // what lies over the upper and the lower edge
const scalePx = 92; // down to the end of the scale, which a narrow map has no room beside
const narrowPx = 600;

export class OpenLayersMap implements GroundMap {
  private readonly hearers = new Hearers();
  private readonly map: OlMap;
  private readonly scale: ScaleLine;
  private readonly backdrop = layer(0);
  private readonly drive = layer(2, true);
  private readonly fixed = layer(1);
  private readonly shape = layer(4);
  private readonly lengths = layer(5, true);
  private readonly wrong = layer(5);
  private readonly cut = layer(5);
  private readonly marks = layer(5);
  private readonly machine = layer(6);
  private readonly outline = new Feature<Polygon>();
  private readonly lines = new Collection<Feature<LineString>>();
  private readonly corners: CornerHand;
  private readonly sketch: SketchHand;
  private ink: Ink;
  private picture: GroundPicture = emptyPicture;
  private mode: Mode = 'look';
  private system: UnitSystem = 'us';
  private readonly canvas = new OffscreenCanvas(1, 1);
  private evenness: Sheeted | undefined;
  private photo: Sheeted | undefined;
  private ground: Ground = { tiles: undefined, photo: undefined };
  /** What the view was fitted to; none once a person has moved it. */
  private fitted: { box: [LonLat, LonLat] | undefined } | undefined;
  private fitting = false;
  private tileLayer: import('ol/layer/Layer').default | undefined;

  constructor(target: HTMLElement) {
    this.ink = readInk();
    this.scale = new ScaleLine({ units: 'us', minWidth: 72, maxWidth: 150, className: 'scale' });
    this.map = new OlMap({
      target,
      layers: [this.backdrop, this.fixed, this.drive, this.shape, this.lengths, this.wrong, this.cut, this.marks, this.machine],
      controls: [this.scale],
      interactions: usualInteractions({ altShiftDragRotate: false, pinchRotate: false, doubleClickZoom: false }),
      view: new View({
        center: [0, 0],
        resolution: 20_000,
        minResolution: nearestM,
        maxResolution: farthestM,
        enableRotation: false,
        smoothResolutionConstraint: false,
      }),
      keyboardEventTarget: target,
    });
    this.backdrop.on('prerender', (event) => {
      if (this.photo) drawSheeted(event, this.photo);
      if (!this.tileLayer) drawGrid(event, this.ink, this.system, this.anchor());
      if (this.evenness) drawSheeted(event, this.evenness);
    });
    const neighbours = this.fixed.getSource()!;
    this.corners = new CornerHand(this.map, this.hearers, this.outline, this.lines, neighbours, this.marks.getSource()!);
    this.sketch = new SketchHand(this.map, this.hearers, neighbours, this.shape.getSource()!);
    this.listen();
    this.recolour();
  }

  private anchor(): XY {
    const corner = this.picture.outline[0]?.[0];
    return corner ? toMap(corner) : [0, 0];
  }

  private listen(): void {
    this.map.on('pointermove', (event) => this.hearers.emit('pointer', toDegrees(event.coordinate)));
    // Whatever moved the view, unless it was fitted: wheel, pinch, keys.
    this.map.getView().on(['change:center', 'change:resolution'], () => {
      if (!this.fitting) this.fitted = undefined;
    });
    this.map.on('click', (event) => {
      const at = toDegrees(event.coordinate);
      this.hearers.emit('pointer', at);
      this.hearers.emit('touched', at);
    });
  }

  /** Draws what differs from before: most pictures come while a corner is dragged. */
  show(picture: GroundPicture): void {
    const before = this.picture;
    this.picture = picture;
    if (!this.corners.holding) this.drawShape(picture);
    if (picture.neighbours !== before.neighbours) this.drawFixed(picture);
    if (picture.drive !== before.drive) this.drawDrive(picture.drive);
    if (picture.edges !== before.edges) this.drawLengths(picture);
    if (picture.wrong !== before.wrong) this.drawWrong(picture.wrong);
    if (picture.cut !== before.cut) this.drawCut(picture.cut);
    if (picture.evenness !== before.evenness) this.paintEvenness();
    else if (this.evenness) this.evenness.within = outlineToMap(picture.outline);
    this.backdrop.changed();
  }

  private drawShape(picture: GroundPicture): void {
    const source = this.shape.getSource()!;
    source.clear();
    this.outline.setGeometry(picture.outline.length ? new Polygon(outlineToMap(picture.outline)) : undefined);
    if (picture.outline.length) source.addFeature(this.outline);
    this.lines.clear();
    for (const keepOff of picture.keepOff) {
      const feature = new Feature(new LineString(lineToMap(keepOff.line)));
      feature.setStyle(styles.keepOffStyle(this.ink, keepOff.label));
      this.lines.push(feature);
      source.addFeature(feature);
    }
    this.restyle();
    this.corners.renew();
  }

  private restyle(): void {
    const editing = this.mode === 'corners';
    const corner = styles.cornerStyle(this.ink);
    this.outline.setStyle(editing ? [...styles.outlineStyle(this.ink), corner] : styles.outlineStyle(this.ink));
    this.lines.forEach((feature, i) => {
      const line = styles.keepOffStyle(this.ink, this.picture.keepOff[i]?.label ?? '');
      feature.setStyle(editing ? [...line, corner] : line);
    });
  }

  private drawFixed(picture: GroundPicture): void {
    const source = this.fixed.getSource()!;
    source.clear();
    for (const outline of picture.neighbours) {
      const feature = new Feature(new Polygon(outlineToMap(outline)));
      feature.setStyle(styles.neighbourStyle(this.ink));
      source.addFeature(feature);
    }
  }

  private drawDrive(drive: Drive | undefined): void {
    const source = this.drive.getSource()!;
    source.clear();
    if (!drive) return;
    const features = drive.fleeting ? this.linesOf(drive) : [...this.travelOf(drive), ...this.passesOf(drive)];
    if (drive.start) features.push(pointed(drive.start, styles.startStyle(this.ink)));
    source.addFeatures([...features, ...this.refillsOf(drive)]);
  }

  private refillsOf(drive: Drive): Feature[] {
    const places = drive.refills.map((refill) => toMap(refill.at));
    return drive.refills.map(({ text }, i) => {
      const [x, y] = places[i]!;
      const feature = new Feature(new Point([x, y]));
      const made = new Map<number, Style>();
      feature.setStyle((_, resolution) => {
        const under = places.slice(0, i).filter((other) => Math.hypot(other[0] - x, other[1] - y) < styles.refillPx * resolution).length;
        const style = made.get(under) ?? styles.refillStyle(this.ink, text, under);
        made.set(under, style);
        return style;
      });
      return feature;
    });
  }

  private drawLengths(picture: GroundPicture): void {
    const source = this.lengths.getSource()!;
    source.clear();
    source.addFeatures(picture.edges.map((edge) => pointed(edge.at, styles.labelStyle(this.ink, edge.text))));
  }

  private drawWrong(wrong: Wrong | undefined): void {
    const source = this.wrong.getSource()!;
    source.clear();
    if (!wrong) return;
    if (wrong.at) source.addFeature(pointed(wrong.at, styles.wrongStyle(this.ink)));
    source.addFeatures(wrong.corners.map(({ at, text }) => pointed(at, styles.namedCornerStyle(this.ink, text))));
  }

  private drawCut(cut: CutPicture | undefined): void {
    const source = this.cut.getSource()!;
    source.clear();
    if (!cut) return;
    const line = new Feature(new LineString(lineToMap(cut.line)));
    line.setStyle(styles.cutStyle(this.ink));
    source.addFeatures([line, ...cut.pieces.map(({ at, text }) => pointed(at, styles.pieceStyle(this.ink, text)))]);
  }

  private travelOf(drive: Drive): Feature[] {
    const style = styles.travelStyle(this.ink);
    return drive.travel.map((line) => {
      const feature = new Feature(new LineString(flatToMap(line), 'XY'));
      feature.setStyle(style);
      return feature;
    });
  }

  private passesOf(drive: Drive): Feature[] {
    return drive.passes.map((pass) => {
      const feature = new Feature({ geometry: new LineString(flatToMap(pass.line), 'XY'), order: pass.order });
      feature.setStyle((f, resolution) => styles.passStyles(this.ink, f as Feature<LineString>, resolution));
      return feature;
    });
  }

  /** All passes in one feature: to draw many costs more than to draw a long one. */
  private linesOf(drive: Drive): Feature[] {
    const lines = drive.passes.map((pass) => new LineString(flatToMap(pass.line), 'XY'));
    const feature = new Feature(new MultiLineString(lines));
    feature.setStyle(styles.passLineStyle(this.ink));
    return [feature];
  }

  private paintEvenness(): void {
    const grid = this.picture.evenness;
    if (!grid) {
      this.evenness = undefined;
      return;
    }
    const canvas = this.canvas;
    [canvas.width, canvas.height] = [grid.cols, grid.rows];
    canvas.getContext('2d')!.putImageData(new ImageData(paint(grid, this.ink.evenness), grid.cols, grid.rows), 0, 0);
    this.evenness = {
      image: canvas,
      southWest: toMap(grid.southWest),
      northEast: toMap(grid.northEast),
      smooth: false,
      within: this.picture.outline.length ? outlineToMap(this.picture.outline) : undefined,
    };
  }

  setMode(mode: Mode): void {
    this.mode = mode;
    this.corners.setActive(mode === 'corners');
    this.sketch.begin(mode);
    this.restyle();
    this.map.getTargetElement()?.classList.toggle('aiming', mode !== 'look' && mode !== 'asked');
  }

  select(corner: CornerRef | undefined): void {
    this.corners.mark(corner);
  }

  setGround(ground: Ground): void {
    const before = this.ground;
    this.ground = ground;
    if (!samePhoto(ground.photo, before.photo)) void this.layPhoto();
    if (!sameTiles(ground.tiles, before.tiles)) void this.layTiles();
  }

  private async layTiles(): Promise<void> {
    if (this.tileLayer) this.map.removeLayer(this.tileLayer);
    this.tileLayer = undefined;
    const { tiles } = this.ground;
    if (!tiles) return this.backdrop.changed();
    const { tileLayer } = await import('./tiles');
    if (this.tileLayer || !sameTiles(tiles, this.ground.tiles)) return; // others were chosen meanwhile
    this.tileLayer = tileLayer(tiles.url, tiles.attribution);
    this.map.getLayers().insertAt(0, this.tileLayer);
  }

  private async layPhoto(): Promise<void> {
    this.photo = undefined;
    const { photo } = this.ground;
    if (photo) {
      const image = new Image();
      image.src = photo.url;
      await image.decode();
      if (!samePhoto(photo, this.ground.photo)) return; // another was chosen meanwhile
      this.photo = {
        image,
        southWest: toMap(photo.southWest),
        northEast: toMap(photo.northEast),
        smooth: true,
        within: undefined,
      };
    }
    this.backdrop.changed();
  }

  setSystem(system: UnitSystem): void {
    this.system = system;
    this.scale.setUnits(system === 'us' ? 'us' : 'metric');
    this.backdrop.changed();
  }

  recolour(): void {
    this.ink = readInk();
    this.corners.setInk(this.ink);
    this.sketch.setInk(this.ink);
    const { picture } = this;
    this.picture = emptyPicture; // everything differs in colour
    this.show(picture);
  }

  setMarker(at: LonLat | undefined, headingDegrees: number): void {
    const source = this.machine.getSource()!;
    source.clear();
    if (!at) return;
    const feature = new Feature(new Point(toMap(at)));
    feature.setStyle(styles.markerStyle(this.ink, headingDegrees));
    source.addFeature(feature);
  }

  fit(box?: [LonLat, LonLat]): void {
    this.fitted = { box };
    const extent = box ? boundingExtent(box.map(toMap)) : this.drawn();
    if (isEmpty(extent)) return;
    this.fitting = true;
    this.lookAt(extent);
    this.fitting = false;
  }

  private lookAt(extent: number[]): void {
    this.map.updateSize();
    const [width = 0, height = 0] = this.map.getSize() ?? [];
    if (width < 80 || height < 80) return;
    const side = Math.min(width, height) * 0.06;
    const [top, bottom] = [width < narrowPx ? scalePx : overlayPx, overlayPx + 8];
    const view = this.map.getView();
    const fit = (above: number, below: number) => view.fit(extent, { padding: [top + above, side, bottom + below, side], minResolution: nearestM });
    fit(0, 0);
    const [above, below] = this.wordsBeyond(extent, view.getResolution()!);
    if (above > 0 || below > 0) fit(above, below);
  }

  /** How many pixels the words of the start and of the refills reach beyond what is fitted. */
  private wordsBeyond([, south, , north]: number[], resolution: number): [number, number] {
    const { start, refills = [] } = this.picture.drive ?? {};
    const above = start ? styles.abovePx - (north! - toMap(start)[1]) / resolution : 0;
    const below = refills.map(({ at }) => styles.belowPx - (toMap(at)[1] - south!) / resolution);
    return [Math.max(0, above), Math.max(0, ...below)];
  }

  private drawn(): number[] {
    const extent = createEmpty();
    for (const one of [this.shape, this.drive]) extend(extent, one.getSource()!.getExtent() ?? createEmpty());
    if (isEmpty(extent)) extend(extent, this.fixed.getSource()!.getExtent() ?? createEmpty());
    return extent;
  }

  refit(): void {
    if (this.fitted) this.fit(this.fitted.box);
  }

  shifted(from: LonLat, eastM: number, northM: number): LonLat {
    const at = offset([...from], Math.hypot(eastM, northM), Math.atan2(eastM, northM));
    return [at[0]!, at[1]!];
  }

  takeBackCorner(): void {
    this.sketch.takeBack();
  }

  finishSketch(): void {
    this.sketch.finish();
  }

  on<K extends keyof MapEvents>(event: K, hear: (value: MapEvents[K]) => void): () => void {
    return this.hearers.on(event, hear);
  }

  destroy(): void {
    this.map.setTarget(undefined);
    this.map.dispose();
  }
}

function sameTiles(a: Ground['tiles'], b: Ground['tiles']): boolean {
  return a?.url === b?.url && a?.attribution === b?.attribution;
}

function pointed(at: LonLat, style: Style): Feature {
  const feature = new Feature(new Point(toMap(at)));
  feature.setStyle(style);
  return feature;
}

function samePhoto(a: Ground['photo'], b: Ground['photo']): boolean {
  return a?.url === b?.url && String(a?.southWest) === String(b?.southWest) && String(a?.northEast) === String(b?.northEast);
}

function layer(zIndex: number, declutter = false): VectorLayer {
  return new VectorLayer({
    declutter,
    source: new VectorSource(),
    zIndex: zIndex + 1,
    updateWhileAnimating: true,
    updateWhileInteracting: true,
  });
}
