// Loads that are filled alike, told once.
import type { Load } from '../generated/mix';

export interface Filling {
  load: Load;
  numbers: number[];
}

const makeUp = (load: Load) => JSON.stringify([load.group, load.layers, load.layer, load.notes]);

export function alike(loads: Load[]): Filling[] {
  const fillings: Filling[] = [];
  for (const load of loads) {
    const last = fillings.at(-1);
    if (last && makeUp(last.load) === makeUp(load)) last.numbers.push(load.number);
    else fillings.push({ load, numbers: [load.number] });
  }
  return fillings;
}
