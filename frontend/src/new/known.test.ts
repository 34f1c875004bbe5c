import { describe, expect, it } from 'vitest';
import type { Outline } from '../core/api';
import type * as record from '../generated/record';
import { freeName, plotOfOutline } from './known';

describe('the name of a new plot', () => {
  it.each([
    ['Creek', ['Creek'], 'Creek'], // two places may be called the same
    ['', [], 'Plot 1'],
    ['Plot 1', [], 'Plot 1'],
    ['Plot 1', ['Plot 1'], 'Plot 2'],
    ['Plot 1', ['Plot 1', 'Plot 2', 'Creek'], 'Plot 3'],
    ['Plot 2', ['Plot 1', 'Plot 3'], 'Plot 2'],
    ['', ['Plot 1', 'Plot 3'], 'Plot 2'],
    ['Plot 1 by the creek', ['Plot 1'], 'Plot 1 by the creek'],
  ])('%j beside %j is %j', (name, taken, free) => expect(freeName(name, taken)).toBe(free));
});

describe('an outline that comes in', () => {
  const ring: Outline[number] = [[-95, 44], [-94.999, 44], [-94.999, 44.001], [-95, 44]];
  const hole: Outline[number] = [[-94.9995, 44.0002], [-94.9994, 44.0002], [-94.9994, 44.0003], [-94.9995, 44.0002]];
  const plot = (name: string, outline?: Outline) => ({ name, ...(outline ? { outline: { type: 'Polygon', coordinates: outline } } : {}) }) as unknown as record.Plot;
  const plots = [plot('bare'), plot('whole', [ring]), plot('holed', [ring, hole])];

  it.each<[string, Outline, string | undefined]>([
    ['as it is', [ring], 'whole'],
    ['begun elsewhere and turned round', [[ring[1]!, ring[0]!, ring[2]!, ring[1]!]], 'whole'],
    ['a hair beside', [ring.map(([lon, lat]) => [lon + 1e-10, lat])], 'whole'],
    ['with its hole', [ring, hole], 'holed'],
    ['a step beside', [ring.map(([lon, lat]) => [lon + 1e-5, lat])], undefined],
  ])('%s', (_, outline, name) => expect(plotOfOutline(outline, plots)?.name).toBe(name));
});
