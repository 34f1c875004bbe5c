// What a person has chosen about the page itself. Kept on this device only.
import type { Ground, LonLat, UnitSystem } from '../map/adapter';

interface Kept {
  system: UnitSystem;
  night: boolean;
  tiles: Ground['tiles'];
  photo: Ground['photo'];
  view: LonLat | undefined; // where the land is, for the first plot
}

const key = 'evenfall.choices';
const usual: Kept = { system: 'us', night: false, tiles: undefined, photo: undefined, view: undefined };

function read(): Kept {
  try {
    return { ...usual, ...(JSON.parse(localStorage.getItem(key) ?? '{}') as Partial<Kept>) };
  } catch {
    return usual;
  }
}

class Choices {
  private kept = $state.raw<Kept>(read());

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

  set(change: Partial<Kept>): void {
    this.kept = { ...this.kept, ...change };
    try {
      localStorage.setItem(key, JSON.stringify(this.kept));
    } catch {
      // A picture too large for this device's store lasts until the page is closed.
    }
    this.show();
  }

  show(): void {
    document.documentElement.dataset['light'] = this.kept.night ? 'night' : 'day';
  }
}

export const choices = new Choices();
