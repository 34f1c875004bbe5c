// The paper under the plot: a squared grid at a round length, a photo if there
// is one, and the evenness picture inside the outline.
import type RenderEvent from 'ol/render/Event';
import { getRenderPixel } from 'ol/render';
import { getPointResolution } from 'ol/proj';
import type { FrameState } from 'ol/Map';
import type { UnitSystem } from './adapter';
import type { Ink } from './colours';
import type { XY } from './project';

const footM = 0.3048; // international foot
const leastSquarePx = 26;

export interface Sheeted {
  image: CanvasImageSource;
  southWest: XY;
  northEast: XY;
  smooth: boolean;
  within: XY[][] | undefined; // drawn only inside these rings
}

/** The side of a square: 1, 2 or 5 times a power of ten of feet or metres. */
export function squareSideM(metresPerPixel: number, system: UnitSystem): number {
  const unit = system === 'us' ? footM : 1;
  const least = (metresPerPixel * leastSquarePx) / unit;
  const power = 10 ** Math.floor(Math.log10(least));
  const step = [1, 2, 5, 10].find((n) => n * power >= least)!;
  return step * power * unit;
}

export function drawGrid(event: RenderEvent, ink: Ink, system: UnitSystem, anchor: XY): void {
  const frame = event.frameState!;
  const { resolution, center, projection } = frame.viewState;
  const trueResolution = getPointResolution(projection, resolution, center);
  const side = (squareSideM(trueResolution, system) * resolution) / trueResolution;
  const [west, south, east, north] = extentOf(frame);
  const context = event.context as CanvasRenderingContext2D;
  for (const [axis, from, to] of [
    [0, west, east],
    [1, south, north],
  ] as const) {
    const first = Math.ceil((from - anchor[axis]) / side);
    const last = Math.floor((to - anchor[axis]) / side);
    for (let i = first; i <= last && last - first < 400; i++) {
      const at = anchor[axis] + i * side;
      const ends: XY[] = axis === 0 ? [[at, south], [at, north]] : [[west, at], [east, at]];
      stroke(event, context, ends, i % 5 === 0 ? ink.gridStrong : ink.grid);
    }
  }
}

function extentOf(frame: FrameState): [number, number, number, number] {
  return frame.extent as [number, number, number, number];
}

function pixel(event: RenderEvent, at: XY): [number, number] {
  const m = event.frameState!.coordinateToPixelTransform as number[];
  const css: [number, number] = [
    m[0]! * at[0] + m[2]! * at[1] + m[4]!,
    m[1]! * at[0] + m[3]! * at[1] + m[5]!,
  ];
  return getRenderPixel(event, css) as [number, number];
}

function stroke(event: RenderEvent, context: CanvasRenderingContext2D, line: XY[], colour: string): void {
  context.save();
  context.beginPath();
  line.forEach((at, i) => {
    const [x, y] = pixel(event, at);
    if (i === 0) context.moveTo(x, y);
    else context.lineTo(x, y);
  });
  context.strokeStyle = colour;
  context.lineWidth = event.frameState!.pixelRatio;
  context.stroke();
  context.restore();
}

export function drawSheeted(event: RenderEvent, sheeted: Sheeted): void {
  const context = event.context as CanvasRenderingContext2D;
  const [left, bottom] = pixel(event, sheeted.southWest);
  const [right, top] = pixel(event, sheeted.northEast);
  context.save();
  if (sheeted.within) {
    context.beginPath();
    for (const ring of sheeted.within) {
      ring.forEach((at, i) => {
        const [x, y] = pixel(event, at);
        if (i === 0) context.moveTo(x, y);
        else context.lineTo(x, y);
      });
      context.closePath();
    }
    context.clip('evenodd');
  }
  context.imageSmoothingEnabled = sheeted.smooth;
  context.drawImage(sheeted.image, left, top, right - left, bottom - top);
  context.restore();
}
