// What a person has chosen about the page itself. Kept on this device only; the
// picture apart from the rest, for it is larger than all that the rest may be.
import type { Ground, LonLat, UnitSystem } from '../map/adapter';
import { DeviceMemory, type Remembered } from './remembered';

interface Kept {
  system: UnitSystem;
  night: boolean;
  tiles: Ground['tiles'];
  photo: Ground['photo'];
  view: LonLat | undefined; // where the land is, for the first plot
}

const key = 'evenfall.choices';
const photoKey = 'photo';
const usual: Kept = { system: 'us', night: false, tiles: undefined, photo: undefined, view: undefined };

function read(): Kept {
  try {
    return { ...usual, ...(JSON.parse(localStorage.getItem(key) ?? '{}') as Partial<Kept>) };
  } catch {
    return usual;
  }
}

export class Choices {
  private kept = $state.raw<Kept>(read());
  /** What was chosen last lasts only until the page is closed. */
  unkept = $state(false);
  private photoChosen = false;

  constructor(private readonly memory: Remembered) {
    if (this.kept.photo) void this.setPhoto(this.kept.photo); // earlier pages kept it with the rest
    else void this.readPhoto();
  }

  get system(): UnitSystem {
    return this.kept.system;
  }
  get night(): boolean {
    return this.kept.night;
  }
  get ground(): Ground {
    return { tiles: this.kept.tiles, photo: this.kept.photo };
  }
  get view(): LonLat | undefined {
    return this.kept.view;
  }

  set(change: Partial<Omit<Kept, 'photo'>>): void {
    this.kept = { ...this.kept, ...change };
    this.unkept = !this.keep();
    this.show();
  }

  async setPhoto(photo: Ground['photo']): Promise<void> {
    this.photoChosen = true;
    this.kept = { ...this.kept, photo };
    const kept = this.keep();
    const written = await this.memory.write(photoKey, photo).then(
      () => true,
      () => false,
    );
    this.unkept = !kept || !written;
  }

  private async readPhoto(): Promise<void> {
    const photo = await this.memory.read<NonNullable<Ground['photo']>>(photoKey).catch(() => undefined); // a device that keeps nothing
    if (photo && !this.photoChosen) this.kept = { ...this.kept, photo };
  }

  private keep(): boolean {
    const { photo: _, ...rest } = this.kept;
    try {
      localStorage.setItem(key, JSON.stringify(rest));
      return true;
    } catch {
      return false;
    }
  }

  show(): void {
    document.documentElement.dataset['light'] = this.kept.night ? 'night' : 'day';
  }
}

export const choices = new Choices(new DeviceMemory());
