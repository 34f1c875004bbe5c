// How ink lies on the map: what each thing that is drawn looks like.
import type Feature from 'ol/Feature';
import type { Geometry } from 'ol/geom';
import type LineString from 'ol/geom/LineString';
import Point from 'ol/geom/Point';
import MultiPoint from 'ol/geom/MultiPoint';
import type Polygon from 'ol/geom/Polygon';
import CircleStyle from 'ol/style/Circle';
import Fill from 'ol/style/Fill';
import Icon from 'ol/style/Icon';
import RegularShape from 'ol/style/RegularShape';
import Stroke from 'ol/style/Stroke';
import Style from 'ol/style/Style';
import Text from 'ol/style/Text';
import type { Ink } from './colours';

const bold = (ink: Ink, px: number) => `700 ${px}px ${ink.text}`;

export function outlineStyle(ink: Ink): Style[] {
  return [new Style({ stroke: new Stroke({ color: ink.ink, width: 4, lineJoin: 'round' }) })];
}

/** Corners as open squares that a gloved finger can find. */
export function cornerStyle(ink: Ink): Style {
  return new Style({
    image: new RegularShape({
      points: 4,
      radius: 9,
      angle: Math.PI / 4,
      fill: new Fill({ color: ink.paper }),
      stroke: new Stroke({ color: ink.ink, width: 2.5 }),
    }),
    geometry: (feature) => cornersOf(feature.getGeometry() as Geometry),
    zIndex: 5,
  });
}

function cornersOf(geometry: Geometry): MultiPoint {
  if (geometry.getType() === 'Polygon') {
    return new MultiPoint((geometry as Polygon).getCoordinates().flatMap((ring) => ring.slice(0, -1)));
  }
  return new MultiPoint((geometry as LineString).getCoordinates());
}

export function chosenStyle(ink: Ink): Style {
  return new Style({
    image: new RegularShape({
      points: 4,
      radius: 13,
      angle: Math.PI / 4,
      fill: new Fill({ color: ink.pencil }),
      stroke: new Stroke({ color: ink.paper, width: 3 }),
    }),
    zIndex: 9,
  });
}

export function neighbourStyle(ink: Ink): Style {
  return new Style({ stroke: new Stroke({ color: ink.inkSoft, width: 1.5, lineDash: [2, 5] }) });
}

export function keepOffStyle(ink: Ink, label: string): Style[] {
  return [
    new Style({ stroke: new Stroke({ color: ink.paper, width: 7 }) }),
    new Style({
      stroke: new Stroke({ color: ink.pencil, width: 3.5, lineDash: [14, 7] }),
      text: new Text({
        text: label,
        font: bold(ink, 14),
        placement: 'line',
        textBaseline: 'bottom',
        offsetY: -6,
        overflow: true,
        fill: new Fill({ color: ink.pencil }),
        stroke: new Stroke({ color: ink.paper, width: 4 }),
      }),
    }),
  ];
}

export function sketchStyle(ink: Ink): Style[] {
  return [
    new Style({
      stroke: new Stroke({ color: ink.pencil, width: 3.5 }),
      fill: new Fill({ color: `${ink.pencil}14` }),
    }),
    new Style({
      image: new CircleStyle({
        radius: 7,
        fill: new Fill({ color: ink.paper }),
        stroke: new Stroke({ color: ink.pencil, width: 3 }),
      }),
    }),
  ];
}

export function labelStyle(ink: Ink, text: string): Style {
  return new Style({
    text: new Text({
      text,
      font: bold(ink, 15),
      fill: new Fill({ color: ink.ink }),
      stroke: new Stroke({ color: ink.paper, width: 5 }),
      overflow: true,
    }),
    zIndex: 6,
  });
}

/** A cross where edges meet that must not. */
export function wrongStyle(ink: Ink): Style {
  return new Style({
    image: new RegularShape({ points: 4, radius: 15, radius2: 0, angle: Math.PI / 4, stroke: new Stroke({ color: ink.pencil, width: 5 }) }),
    zIndex: 8,
  });
}

export function cutStyle(ink: Ink): Style[] {
  return [
    new Style({ stroke: new Stroke({ color: ink.paper, width: 8 }) }),
    new Style({ stroke: new Stroke({ color: ink.pencil, width: 4 }) }),
  ];
}

/** What a piece is called, in its middle. */
export function pieceStyle(ink: Ink, text: string): Style {
  return new Style({
    text: new Text({
      text,
      font: bold(ink, 19),
      padding: [3, 6, 2, 6],
      backgroundFill: new Fill({ color: ink.paper }),
      backgroundStroke: new Stroke({ color: ink.pencil, width: 2 }),
      fill: new Fill({ color: ink.pencil }),
      overflow: true,
    }),
    zIndex: 9,
  });
}

/** The number of a corner that is spoken of, beside its square. */
export function namedCornerStyle(ink: Ink, text: string): Style {
  return new Style({
    text: new Text({
      text,
      font: bold(ink, 17),
      offsetX: 17,
      offsetY: -17,
      fill: new Fill({ color: ink.pencil }),
      stroke: new Stroke({ color: ink.paper, width: 5 }),
      overflow: true,
    }),
    zIndex: 8,
  });
}

export function travelStyle(ink: Ink): Style {
  return new Style({ stroke: new Stroke({ color: ink.inkSoft, width: 1.5, lineDash: [3, 6] }) });
}

/** What every pass shares: made once for an ink, because each image of the library costs a canvas. */
interface PassInk {
  line: Style[];
  arrow: HTMLCanvasElement;
  disc: HTMLCanvasElement;
}

const passInks = new WeakMap<Ink, PassInk>();
const fine = 2; // pixels of a stamp to one on the screen

function passInk(ink: Ink): PassInk {
  const known = passInks.get(ink);
  if (known) return known;
  const made: PassInk = {
    line: [
      new Style({ stroke: new Stroke({ color: ink.paper, width: 4.5 }) }),
      new Style({ stroke: new Stroke({ color: ink.ink, width: 2 }) }),
    ],
    arrow: stamp(22, ink, (c) => {
      c.moveTo(11, 2);
      c.lineTo(18.5, 15.5);
      c.lineTo(3.5, 15.5);
      c.closePath();
    }),
    disc: stamp(26, ink, (c) => c.arc(13, 13, 11, 0, 2 * Math.PI)),
  };
  passInks.set(ink, made);
  return made;
}

/** A small shape in ink with a rim of paper. */
function stamp(side: number, ink: Ink, draw: (context: CanvasRenderingContext2D) => void): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = side * fine;
  const context = canvas.getContext('2d')!;
  context.scale(fine, fine);
  context.beginPath();
  draw(context);
  context.fillStyle = ink.ink;
  context.strokeStyle = ink.paper;
  context.lineWidth = 2;
  context.fill();
  context.stroke();
  return canvas;
}

/** The line of a pass alone. */
export function passLineStyle(ink: Ink): Style[] {
  return passInk(ink).line;
}

/** A pass: its line, arrows along it, and its number where it begins; numbers and arrows give way where it is crowded. */
export function passStyles(ink: Ink, feature: Feature<LineString>, resolution: number): Style[] {
  const line = feature.getGeometry()!;
  const shared = passInk(ink);
  const styles = [...shared.line];
  const lengthPx = line.getLength() / resolution;
  const arrows = lengthPx < 46 ? 0 : Math.max(1, Math.min(4, Math.floor(lengthPx / 170)));
  for (let i = 0; i < arrows; i++) styles.push(arrowStyle(shared.arrow, line, (i + 0.55) / arrows, resolution));
  styles.push(numberStyle(ink, shared.disc, line, String(feature.get('order'))));
  return styles;
}

function arrowStyle(img: HTMLCanvasElement, line: LineString, share: number, resolution: number): Style {
  const at = line.getCoordinateAt(share);
  const ahead = line.getCoordinateAt(Math.min(1, share + (6 * resolution) / line.getLength()));
  return new Style({
    geometry: new Point(at),
    image: new Icon({ img, scale: 1 / fine, rotation: Math.atan2(ahead[0]! - at[0]!, ahead[1]! - at[1]!) }),
    zIndex: 3,
  });
}

function numberStyle(ink: Ink, img: HTMLCanvasElement, line: LineString, text: string): Style {
  return new Style({
    geometry: new Point(line.getFirstCoordinate()),
    image: new Icon({ img, scale: 1 / fine }),
    text: new Text({ text, font: bold(ink, 14), fill: new Fill({ color: ink.onInk }), offsetY: 1 }),
    zIndex: 4,
  });
}

export function startStyle(ink: Ink): Style {
  return new Style({
    image: new CircleStyle({
      declutterMode: 'none',
      radius: 17,
      fill: new Fill({ color: `${ink.paper}00` }),
      stroke: new Stroke({ color: ink.pencil, width: 3.5 }),
    }),
    text: new Text({
      declutterMode: 'none',
      text: 'start',
      font: bold(ink, 14),
      offsetY: -27,
      fill: new Fill({ color: ink.pencil }),
      stroke: new Stroke({ color: ink.paper, width: 4 }),
    }),
    zIndex: 7,
  });
}

const besidePx = 24; // from one diamond to the next

/** Of diamonds closer than this one hides more than half of the other. */
export const refillPx = 14;

/** How far below its place the word of a refill reaches, and above it that of the start. */
export const belowPx = 36;
export const abovePx = 38;

/** A refill; one that others lie under stands beside them, its word below theirs. */
export function refillStyle(ink: Ink, text: string, under: number): Style {
  return new Style({
    image: new RegularShape({
      declutterMode: 'none',
      points: 4,
      radius: 13,
      displacement: [under * besidePx, 0],
      fill: new Fill({ color: ink.pencil }),
      stroke: new Stroke({ color: ink.paper, width: 2 }),
    }),
    text: new Text({
      declutterMode: 'declutter',
      text,
      font: bold(ink, 14),
      offsetY: 25 + under * 16,
      fill: new Fill({ color: ink.pencil }),
      stroke: new Stroke({ color: ink.paper, width: 4 }),
    }),
    zIndex: 7,
  });
}

/** The machine: an arrowhead that points where it drives. */
export function markerStyle(ink: Ink, headingDegrees: number): Style[] {
  return [
    new Style({
      image: new CircleStyle({ radius: 20, fill: new Fill({ color: `${ink.pencil}33` }) }),
      zIndex: 10,
    }),
    new Style({
      image: new RegularShape({
        points: 3,
        radius: 14,
        scale: [0.8, 1.15],
        rotation: (headingDegrees * Math.PI) / 180,
        fill: new Fill({ color: ink.pencil }),
        stroke: new Stroke({ color: ink.paper, width: 2.5 }),
      }),
      zIndex: 11,
    }),
  ];
}
