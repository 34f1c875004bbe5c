// Imagery under the paper. Loaded only once a person has entered an address.
import TileLayer from 'ol/layer/Tile';
import XYZ from 'ol/source/XYZ';

export function tileLayer(url: string, attribution: string): TileLayer<XYZ> {
  return new TileLayer({
    source: new XYZ({ url, attributions: attribution, crossOrigin: 'anonymous', maxZoom: 20 }),
    zIndex: 0,
  });
}
