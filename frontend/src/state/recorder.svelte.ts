// A walk round the edge, recorded by this device. Every step lies in the
// device's store at once: a page that is closed, or a phone that falls asleep,
// loses nothing of it.
import type { Fix } from '../core/api';

type Receiver = Pick<Geolocation, 'watchPosition' | 'clearWatch'>;

const key = 'evenfall.walk';

/** As it lies in the store: longitude, latitude, seconds, accuracy. */
type Kept = [number, number, number, number][];

export class Recorder {
  fixes = $state.raw<readonly Fix[]>([]);
  listening = $state(false);
  trouble = $state('');
  private watch: number | undefined;
  private sleep: (() => void) | undefined;

  constructor(
    private readonly receiver: Receiver | undefined,
    private readonly store: Storage | undefined,
    /** Keeps the screen on until the answer is called. */
    private readonly awake: () => () => void,
  ) {
    this.fixes = read(this.store);
  }

  /** Listens from here on; what was walked before stays. */
  listen(): void {
    this.trouble = '';
    if (!this.receiver) {
      this.trouble = noReceiver;
      return;
    }
    this.listening = true;
    this.sleep = this.awake();
    this.watch = this.receiver.watchPosition((at) => this.hear(at), (why) => this.miss(why), { enableHighAccuracy: true, maximumAge: 0 });
  }

  rest(): void {
    if (this.watch !== undefined) this.receiver?.clearWatch(this.watch);
    this.watch = undefined;
    this.sleep?.();
    this.sleep = undefined;
    this.listening = false;
  }

  /** Nothing is left of the walk. */
  forget(): void {
    this.rest();
    this.fixes = [];
    this.store?.removeItem(key);
  }

  /** The standard asks receivers for a radius of 95 %, most give one of 68 %: it
      is taken for the latter, so that no area is called surer than it is. */
  private hear({ coords, timestamp }: GeolocationPosition): void {
    const fix = { lonLat: [coords.longitude, coords.latitude] as [number, number], seconds: timestamp / 1000, accuracyM: coords.accuracy };
    if (fix.seconds === this.fixes.at(-1)?.seconds) return; // told again
    this.fixes = [...this.fixes, fix];
    this.trouble = this.keep() ? '' : 'This device has no room to keep the walk: do not close the page';
  }

  private miss({ code, PERMISSION_DENIED }: GeolocationPositionError): void {
    if (code !== PERMISSION_DENIED) {
      this.trouble = 'No position at the moment: keep the phone under open sky';
      return;
    }
    this.rest();
    this.trouble = 'The browser may not tell where this phone is: allow it for this page, then go on';
  }

  private keep(): boolean {
    const kept: Kept = this.fixes.map(({ lonLat, seconds, accuracyM }) => [...lonLat, seconds, accuracyM]);
    try {
      this.store?.setItem(key, JSON.stringify(kept));
      return this.store !== undefined;
    } catch {
      return false;
    }
  }
}

/** Browsers tell pages of an address without https nothing. */
const noReceiver = 'The browser tells this page no position. Open it by https, or record the walk with the phone and choose its GPX file';

function read(store: Storage | undefined): Fix[] {
  try {
    const kept = JSON.parse(store?.getItem(key) ?? '[]') as Kept;
    return kept.map(([lon, lat, seconds, accuracyM]) => ({ lonLat: [lon, lat], seconds, accuracyM }));
  } catch {
    return []; // not ours
  }
}
