import { describe, expect, it } from 'vitest';
import { Superseded, type Outline } from '../core/api';
import { FakeCore, faultOf, sampleOutline } from '../core/fake';
import type * as record from '../generated/record';
import { silhouettes } from './silhouettes';

const crossed: Outline = [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]];
const plot = (id: string, coordinates: Outline) => ({ id, outline: { type: 'Polygon', coordinates } }) as unknown as record.Plot;

/** A core that refuses the crossed outline, as the real one does. */
function refusing(): FakeCore {
  const core = new FakeCore();
  const sound = new FakeCore();
  const refused = () => Promise.reject(faultOf('self_crossing', 'the edge crosses itself', { feature: 1, vertex: 2 }));
  core.answers.local = (outlines) => (outlines.includes(crossed) ? refused() : sound.local(outlines));
  core.answers.measure = (outline, options) => (outline === crossed ? refused() : sound.measure(outline, options));
  return core;
}

describe('silhouettes', () => {
  it('stand for every other plot when one outline is refused, and that one says why', async () => {
    const found = await silhouettes(refusing(), [plot('a', sampleOutline), plot('bad', crossed), plot('b', sampleOutline)], () => false);
    expect([...found.keys()]).toEqual(['a', 'bad', 'b']);
    expect(found.get('b')).toMatchObject({ area_m2: 1011.7, shape: { boundM: [-20, -28, 20, 28] } });
    expect(found.get('bad')).toEqual({ trouble: 'The outline cannot be measured. Corner 2: the edge crosses itself' });
  });

  it('are asked for again when another page measures too, and no more once the page is left', async () => {
    const core = new FakeCore();
    let times = 0;
    const sound = new FakeCore();
    core.answers.measure = (outline, options) => (++times === 1 ? Promise.reject(new Superseded()) : sound.measure(outline, options));
    expect((await silhouettes(core, [plot('a', sampleOutline)], () => false)).get('a')?.area_m2).toBe(1011.7);
    expect((await silhouettes(core, [plot('a', sampleOutline)], () => true)).size).toBe(0);
  });
});
