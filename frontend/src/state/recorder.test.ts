import { beforeEach, describe, expect, it, vi } from 'vitest';
import { stayAwake } from './awake';
import { Recorder } from './recorder.svelte';

/** A receiver that tells what it is told. */
class Receiver {
  hear: PositionCallback | undefined;
  miss: PositionErrorCallback | null | undefined;
  cleared: number[] = [];
  watchPosition = (hear: PositionCallback, miss?: PositionErrorCallback | null) => {
    [this.hear, this.miss] = [hear, miss];
    return 7;
  };
  clearWatch = (id: number) => void this.cleared.push(id);
  tell(seconds: number, longitude = -90, latitude = 44, accuracy = 4): void {
    this.hear?.({ coords: { longitude, latitude, accuracy }, timestamp: seconds * 1000 } as GeolocationPosition);
  }
  fail(code: number): void {
    this.miss?.({ code, message: '', PERMISSION_DENIED: 1, POSITION_UNAVAILABLE: 2, TIMEOUT: 3 });
  }
}
const noStore = (): Storage => ({ ...localStorage, getItem: () => null, removeItem: () => undefined, setItem: () => { throw new DOMException('full', 'QuotaExceededError'); } });
const awake = () => () => undefined;

beforeEach(() => localStorage.clear());

describe('recorder', () => {
  it('keeps every step at once, and goes on from there', () => {
    const receiver = new Receiver();
    const first = new Recorder(receiver, localStorage, awake);
    first.listen();
    receiver.tell(1);
    receiver.tell(2, -90.001);
    const again = new Recorder(receiver, localStorage, awake); // the page was closed
    expect(again.listening).toBe(false);
    expect(again.fixes).toEqual([
      { lonLat: [-90, 44], seconds: 1, accuracyM: 4 },
      { lonLat: [-90.001, 44], seconds: 2, accuracyM: 4 },
    ]);
    again.listen();
    receiver.tell(3);
    expect(again.fixes).toHaveLength(3);
  });

  it('takes what is told twice once', () => {
    const receiver = new Receiver();
    const recorder = new Recorder(receiver, localStorage, awake);
    recorder.listen();
    receiver.tell(1);
    receiver.tell(1);
    expect(recorder.fixes).toHaveLength(1);
  });

  it('lets go of the receiver and the screen when it rests', () => {
    const receiver = new Receiver();
    const slept = vi.fn();
    const recorder = new Recorder(receiver, localStorage, () => slept);
    recorder.listen();
    recorder.rest();
    expect(receiver.cleared).toEqual([7]);
    expect(slept).toHaveBeenCalledOnce();
    expect(recorder.listening).toBe(false);
  });

  it('goes on listening where there is no position for a while, and stops where it may not', () => {
    const receiver = new Receiver();
    const recorder = new Recorder(receiver, localStorage, awake);
    recorder.listen();
    receiver.fail(3);
    expect([recorder.listening, recorder.trouble]).toEqual([true, 'No position at the moment: keep the phone under open sky']);
    receiver.tell(1);
    expect(recorder.trouble).toBe('');
    receiver.fail(1);
    expect(recorder.listening).toBe(false);
    expect(recorder.trouble).toContain('allow it');
    expect(recorder.fixes).toHaveLength(1);
  });

  it('says so where nothing can be heard or kept', () => {
    const deaf = new Recorder(undefined, localStorage, awake);
    deaf.listen();
    expect([deaf.listening, deaf.trouble.includes('https')]).toEqual([false, true]);
    const receiver = new Receiver();
    const full = new Recorder(receiver, noStore(), awake);
    full.listen();
    receiver.tell(1);
    expect(full.fixes).toHaveLength(1);
    expect(full.trouble).toContain('do not close the page');
  });

  it('forgets, and takes nothing for a walk that is none', () => {
    const receiver = new Receiver();
    const recorder = new Recorder(receiver, localStorage, awake);
    recorder.listen();
    receiver.tell(1);
    recorder.forget();
    expect([recorder.fixes, recorder.listening, localStorage.length]).toEqual([[], false, 0]);
    localStorage.setItem('evenfall.walk', '{"not":"ours"}');
    expect(new Recorder(receiver, localStorage, awake).fixes).toEqual([]);
  });
});

describe('staying awake', () => {
  it('holds the screen anew when the page is seen again, and lets go at the end', async () => {
    const released: number[] = [];
    let held = 0;
    const request = vi.fn(() => {
      const n = ++held;
      return Promise.resolve({ release: () => Promise.resolve(void released.push(n)) } as unknown as WakeLockSentinel);
    });
    const sleep = stayAwake({ request } as unknown as WakeLock);
    await Promise.resolve();
    document.dispatchEvent(new Event('visibilitychange'));
    await vi.waitFor(() => expect(request).toHaveBeenCalledTimes(2));
    await Promise.resolve();
    sleep();
    expect(released).toEqual([2]);
    document.dispatchEvent(new Event('visibilitychange'));
    expect(request).toHaveBeenCalledTimes(2);
    expect(stayAwake(undefined)).toBeTypeOf('function');
  });
});
