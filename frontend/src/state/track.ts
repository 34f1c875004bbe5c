// Where the machine is at a moment of the drive. Between two stations of the
// track everything is linear.
import type { DriveTrack } from '../core/api';
import type { LonLat } from '../map/adapter';

export interface Station {
  at: LonLat;
  heading: number; // degrees from north
  hopperKg: number;
  load: number;
  pass: number; // 0 with the gate closed
}

/** The first station that is later than the moment, never the very first. */
function next(seconds: Float64Array, moment: number): number {
  let low = 1;
  let high = seconds.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (seconds[middle]! > moment) high = middle;
    else low = middle + 1;
  }
  return low;
}

export function stationAt(track: DriveTrack, moment: number): Station {
  if (track.seconds.length < 2) return { at: [track.lonLat[0] ?? 0, track.lonLat[1] ?? 0], heading: 0, hopperKg: track.hopperKg[0] ?? 0, load: track.load[0] ?? 0, pass: track.pass[0] ?? 0 };
  const j = next(track.seconds, moment);
  const i = j - 1;
  const span = track.seconds[j]! - track.seconds[i]!;
  const share = span > 0 ? Math.min(1, Math.max(0, (moment - track.seconds[i]!) / span)) : 1;
  const between = (of: Float64Array, step: number, add: number) =>
    of[i * step + add]! + share * (of[j * step + add]! - of[i * step + add]!);
  const [dLon, dLat] = [
    track.lonLat[j * 2]! - track.lonLat[i * 2]!,
    track.lonLat[j * 2 + 1]! - track.lonLat[i * 2 + 1]!,
  ];
  const lat = between(track.lonLat, 2, 1);
  return {
    at: [between(track.lonLat, 2, 0), lat],
    heading: (Math.atan2(dLon * Math.cos((lat * Math.PI) / 180), dLat) * 180) / Math.PI,
    hopperKg: between(track.hopperKg, 1, 0),
    load: track.load[j]!,
    pass: track.pass[j]!,
  };
}
