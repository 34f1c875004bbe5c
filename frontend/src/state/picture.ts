// What the map is to show, put together from the draft and the live sheet.
import type { Measurement, Prepared } from '../core/api';
import type { Drive, EvennessGrid, GroundPicture, LonLat, Outline } from '../map/adapter';
import type { Draft } from './draft';

export interface Shown {
  draft: Draft;
  outline: Outline;
  keepOff: LonLat[][] | undefined;
  neighbours: Outline[];
  drive: Drive | undefined;
  evenness: EvennessGrid | undefined;
  measured: Measurement | undefined;
  editing: boolean;
  distances: string[]; // of the keep-off lines, in words
}

const mostEdges = 24; // beyond that, lengths would cover the plot
const noEdges: GroundPicture['edges'] = [];

export function pictureOf(s: Shown): GroundPicture {
  const edges = s.measured?.edges ?? [];
  return {
    outline: s.outline,
    keepOff: s.draft.keepOff.map((k, i) => ({
      name: k.name,
      line: s.keepOff?.[i] ?? k.line,
      label: k.distance_m > 0 ? `${k.name}, ${s.distances[i]}` : k.name,
    })),
    neighbours: s.neighbours,
    edges: s.editing && edges.length <= mostEdges ? edges.map((e) => ({ at: e.at, text: e.text })) : noEdges,
    drive: s.drive,
    evenness: s.evenness,
  };
}

export function driveOf(prepared: Prepared): Drive {
  return {
    passes: prepared.passes,
    travel: prepared.travel.filter((line) => line.length > 2),
    start: prepared.start,
    refills: prepared.refills.map((r) => ({ at: r.at, text: `load ${r.afterLoad + 1}` })),
    fleeting: prepared.quick,
  };
}
