// The map as far as it goes without a screen: what lies under the paper.
import type OlMap from 'ol/Map';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import type { Ground } from './adapter';
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
