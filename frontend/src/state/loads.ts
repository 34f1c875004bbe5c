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

/** Numbers in rising order as a person says them: 1 and 2; 3, 4 and 7; 1 to 5. */
export function counted(numbers: readonly number[]): string {
  return listed(runsOf(numbers).flatMap(([from, to]) => (to - from > 1 ? [`${from} to ${to}`] : to > from ? [String(from), String(to)] : [String(from)])));
}

const fewPieces = 5; // more of them nobody reads; our own choice

/** The passes of these numbers, told as short as can be. */
export function passesSaid(passes: readonly number[]): string {
  const all = [...new Set(passes)].sort((a, b) => a - b);
  const [first = 0, last = 0] = [all[0], all.at(-1)];
  if (all.length === 1) return `pass ${first}`;
  const step = all[1]! - first;
  if (all.length > 3 && step > 1 && all.every((pass, i) => pass === first + i * step)) return `every ${ordinal(step)} pass from ${first} to ${last}`;
  if (runsOf(all).length <= fewPieces) return `passes ${counted(all)}`;
  return `${all.length} passes, the first ${first} and the last ${last}`;
}

/** Neighbouring numbers as the first and the last of them. */
function runsOf(numbers: readonly number[]): [number, number][] {
  const runs: [number, number][] = [];
  for (const n of numbers) {
    const run = runs.at(-1);
    if (run && n === run[1] + 1) run[1] = n;
    else runs.push([n, n]);
  }
  return runs;
}

function listed(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

function ordinal(n: number): string {
  const ending = n % 100 > 10 && n % 100 < 14 ? 'th' : (['th', 'st', 'nd', 'rd'][n % 10] ?? 'th');
  return n === 2 ? 'other' : `${n}${ending}`;
}
