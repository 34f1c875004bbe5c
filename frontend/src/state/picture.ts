// What the map is to show, put together from the draft and the live sheet.
import type { Measurement, Prepared } from '../core/api';
import type * as fault from '../generated/fault';
import type { CutPicture, Drive, EvennessGrid, GroundPicture, LonLat, Outline, Wrong } from '../map/adapter';
import type { Draft } from './draft';

export interface Shown {
  draft: Draft;
  outline: Outline;
  keepOff: LonLat[][] | undefined;
  neighbours: Outline[];
  drive: Drive | undefined;
  evenness: EvennessGrid | undefined;
  measured: Measurement | undefined;
  wrong: Wrong | undefined;
  cut: CutPicture | undefined;
  /** A keep-off line whose distance is not given yet. */
  asked: LonLat[] | undefined;
  editing: boolean;
  distances: string[]; // of the keep-off lines, in words
}

const mostEdges = 24; // beyond that, lengths would cover the plot
const noEdges: GroundPicture['edges'] = [];

export function pictureOf(s: Shown): GroundPicture {
  const edges = s.measured?.edges ?? [];
  const keepOff = s.draft.keepOff.map((k, i) => ({
    name: k.name,
    line: s.keepOff?.[i] ?? k.line,
    label: k.distance_m > 0 ? `${k.name}, ${s.distances[i]}` : k.name,
  }));
  return {
    outline: s.outline,
    keepOff: s.asked ? [...keepOff, { name: '', line: s.asked, label: '' }] : keepOff,
    neighbours: s.neighbours,
    edges: s.editing && edges.length <= mostEdges ? edges.map((e) => ({ at: e.at, text: e.text })) : noEdges,
    drive: s.drive,
    evenness: s.evenness,
    wrong: s.wrong,
    cut: s.cut,
  };
}

/** Where on the ground a fault lies, and the corners that its sentence names. */
export function wrongOf(found: fault.Error | undefined, outline: Outline): Wrong | undefined {
  if (!found?.where?.ring) return undefined;
  const { ring, corners = [], lon_lat } = found.where;
  const named = corners.flatMap((n) => {
    const at = outline[ring - 1]?.[n - 1];
    return at ? [{ at, text: String(n) }] : [];
  });
  return { at: lon_lat?.length === 2 ? (lon_lat as LonLat) : undefined, corners: named };
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

/** The drive under a hand that works on the ground: lines alone, so that corners can be seen and held. */
export function underHand(drive: Drive, withStart: boolean): Drive {
  return { ...drive, start: withStart ? drive.start : undefined, refills: [], fleeting: true };
}
