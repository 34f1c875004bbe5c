// A map without a screen, for unit tests: it remembers what it was shown and
// lets a test play the hand.
import type { CornerRef, Ground, GroundMap, GroundPicture, LonLat, MapEvents, Mode, UnitSystem } from './adapter';
import { emptyPicture } from './adapter';
import { Hearers } from './hearers';

export class FakeMap implements GroundMap {
  picture: GroundPicture = emptyPicture;
  mode: Mode = 'look';
  corner: CornerRef | undefined;
  ground: Ground | undefined;
  system: UnitSystem | undefined;
  marker: LonLat | undefined;
  fits = 0;
  destroyed = false;
  private readonly hearers = new Hearers();

  show(picture: GroundPicture): void {
    this.picture = picture;
  }
  setMode(mode: Mode): void {
    this.mode = mode;
  }
  select(corner: CornerRef | undefined): void {
    this.corner = corner;
  }
  setGround(ground: Ground): void {
    this.ground = ground;
  }
  setSystem(system: UnitSystem): void {
    this.system = system;
  }
  recolour(): void {}
  setMarker(at: LonLat | undefined): void {
    this.marker = at;
  }
  fit(): void {
    this.fits++;
  }
  refit(): void {
    this.fits++;
  }
  /** Flat and coarse: enough to tell directions apart in a test. */
  shifted(from: LonLat, eastM: number, northM: number): LonLat {
    return [from[0] + eastM / 100_000, from[1] + northM / 100_000];
  }
  takeBackCorner(): void {}
  finishSketch(): void {}
  on<K extends keyof MapEvents>(event: K, hear: (value: MapEvents[K]) => void): () => void {
    return this.hearers.on(event, hear);
  }
  destroy(): void {
    this.destroyed = true;
  }

  /** Plays the hand. */
  play<K extends keyof MapEvents>(event: K, value: MapEvents[K]): void {
    this.hearers.emit(event, value);
  }
}
