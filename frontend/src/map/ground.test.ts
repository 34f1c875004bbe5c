// The map as far as it goes without a screen: what lies under the paper.
import type OlMap from 'ol/Map';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import type VectorLayer from 'ol/layer/Vector';
import type RegularShape from 'ol/style/RegularShape';
import type Style from 'ol/style/Style';
import { emptyPicture, type Drive, type Ground, type LonLat } from './adapter';
import { OpenLayersMap } from './openlayers';

beforeAll(() => {
  vi.stubGlobal('OffscreenCanvas', class {});
  vi.stubGlobal('ResizeObserver', class { observe() {} unobserve() {} disconnect() {} });
});

const tiles = (place: string): Ground => ({ tiles: { url: `https://${place}.example/{z}/{x}/{y}`, attribution: 'invented' }, photo: undefined });
const inside = (map: OpenLayersMap) => (map as unknown as { map: OlMap }).map;
const laid = (map: OpenLayersMap) =>
  inside(map).getLayers().getArray().flatMap((layer) => {
    const source = (layer as unknown as { getSource(): { getUrls?(): string[] | null } }).getSource();
    return source.getUrls?.() ?? [];
  });

describe('the ground under the paper', () => {
  it('has one layer of tiles, those chosen last, however fast they are chosen', async () => {
    const map = new OpenLayersMap(document.createElement('div'));
    map.setGround(tiles('first'));
    map.setGround(tiles('second'));
    map.setGround({ ...tiles('second') });
    await vi.waitFor(() => expect(laid(map)).toEqual(['https://second.example/{z}/{x}/{y}']));
    const layer = inside(map).getLayers().item(0);
    map.setGround({ ...tiles('second'), photo: undefined });
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(laid(map)).toHaveLength(1);
    expect(inside(map).getLayers().item(0)).toBe(layer); // nothing differs: nothing is fetched anew
    map.setGround({ tiles: undefined, photo: undefined });
    expect(laid(map)).toEqual([]);
  });
});

describe('the refills', () => {
  const drive = (...places: LonLat[]): Drive => ({
    passes: [], travel: [], start: undefined, fleeting: false,
    refills: places.map((at, i) => ({ at, text: `load ${i + 2}` })),
  });
  /** How far to the right of its place each diamond stands, in pixels, at so many metres of the map to one. */
  const asides = (map: OpenLayersMap, resolution: number) =>
    inside(map).getLayers().getArray().flatMap((layer) => (layer as VectorLayer).getSource()!.getFeatures()).map((feature) => {
      const style = feature.getStyleFunction()!(feature, resolution) as Style;
      return (style.getImage() as RegularShape).getDisplacement()[0];
    });

  it('stand side by side where they would lie on each other, and in their places where not', () => {
    const map = new OpenLayersMap(document.createElement('div'));
    map.show({ ...emptyPicture, drive: drive([-90, 43], [-90, 43], [-90.001, 43], [-90, 43]) });
    expect(asides(map, 1)).toEqual([0, 24, 0, 48]);
    map.show({ ...emptyPicture, drive: drive([-90, 43], [-90.001, 43]) }); // 111 m of the map
    expect(asides(map, 1)).toEqual([0, 0]);
    expect(asides(map, 10)).toEqual([0, 24]);
  });
});
