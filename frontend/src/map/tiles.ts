// Imagery under the paper. Loaded only once a person has entered an address.
import TileLayer from 'ol/layer/Tile';
import XYZ from 'ol/source/XYZ';

/** Levels of coarser pictures that are fetched too: many services have none as
    near as one draws a plot, and then the coarser ones show. Our own choice. */
const coarserLevels = 5;

export function tileLayer(url: string, attribution: string): TileLayer<XYZ> {
  return new TileLayer({
    preload: coarserLevels,
    source: new XYZ({ url, attributions: attribution, crossOrigin: 'anonymous', maxZoom: 20 }),
    zIndex: 0,
  });
}
