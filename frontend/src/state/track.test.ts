import { describe, expect, it } from 'vitest';
import type { DriveTrack } from '../core/api';
import { stationAt } from './track';

const track: DriveTrack = {
  lonLat: Float64Array.of(0, 0, 0, 0.001, 0, 0.001, 0.001, 0.001),
  seconds: Float64Array.of(0, 10, 10, 20),
  hopperKg: Float64Array.of(20, 0, 20, 10),
  load: Int32Array.of(1, 1, 2, 2),
  pass: Int32Array.of(1, 1, 1, 2),
};

describe('track', () => {
  it('is linear between stations', () => {
    const s = stationAt(track, 5);
    expect(s.at[1]).toBeCloseTo(0.0005);
    expect(s.hopperKg).toBeCloseTo(10);
    expect(s.heading).toBeCloseTo(0);
    expect(s.load).toBe(1);
  });
  it('jumps at a refill', () => {
    expect(stationAt(track, 9.999).hopperKg).toBeLessThan(0.01);
    expect(stationAt(track, 10).hopperKg).toBeCloseTo(20);
    expect(stationAt(track, 15)).toMatchObject({ load: 2, pass: 2 });
    expect(stationAt(track, 15).heading).toBeCloseTo(90);
  });
  it('stays within the drive', () => {
    expect(stationAt(track, -3).hopperKg).toBe(20);
    expect(stationAt(track, 99).hopperKg).toBe(10);
  });
});
