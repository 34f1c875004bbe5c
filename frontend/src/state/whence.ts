// Where a figure comes from. The sheet's own sources come first; a figure that
// follows from others says how.
import type * as source from '../generated/source';

export interface Answer {
  says: string;
  mark: string;
}

const derived: [RegExp, string][] = [
  [/^ground\.(area|perimeter)/, 'Measured along the outline on the WGS84 ellipsoid; holes are taken off.'],
  [/^ground\.uncertainty/, 'Two standard deviations: how far the area may be off because every corner may be off a little.'],
  [/^ground\.guess/, 'Your guess, compared with the measured area.'],
  [/^spreader\.throw/, 'The pattern of the spreader, edge to edge: from its pan test, or as you described it.'],
  [/^spreader\.(spacing|first_inset)/, 'Chosen by the planner for the most even spread, unless you set it.'],
  [/^spreader\.(flow|groups)/, 'The amount that goes on, divided by the time it takes to drive the passes with the gate open; the gate from your catch tests.'],
  [/^spreader\.per_88/, 'The speed, as a watch reads it over 88 ft.'],
  [/^spreader\.speed/, 'Your choice, or the usual 6 mph moved into the range of the machine. Common practice, no source.'],
  [/^drive\.bearing/, 'The longest straight pass, clockwise from true north. A compass differs from it by the declination of the place.'],
  [/^drive\./, 'Counted along the passes that were laid over this outline at this spacing and turning radius.'],
  [/^evenness\./, 'Predicted: the pattern of the spreader is laid along every pass, and the ground is measured cell by cell.'],
  [/^plans/, 'Predicted the same way for every plan: the pattern laid along its passes, measured cell by cell.'],
  [/^materials\[\d+\]\.spread_kg/, 'All of the bags that are opened, whatever the rate.'],
  [/^materials\[\d+\]\.bags/, 'What goes on, over what a bag holds, up to whole bags.'],
  [/^materials\[\d+\]\.cost/, 'The bags to buy times the price of a bag that you entered.'],
  [/^materials\[\d+\]\.seeds/, 'The seeds in what is poured, over the ground that gets it.'],
  [/^materials/, 'The rate times the measured area, less what is kept off.'],
  [/^nutrients/, 'What the products hold by their grade, over the measured area.'],
  [/^(loads|shopping)/, 'The amounts for the measured area, split into whole bags and hopper loads.'],
  [/^stops\[\d+\]\.area/, 'Measured along the outline of the plot on the WGS84 ellipsoid, or as you typed it.'],
  [/^stops\[\d+\]\.loads/, 'What goes on the plot, split evenly into what the hopper holds.'],
  [/^stops/, 'The rate of the mix times the area of the plot; the bags in the order of driving.'],
  [/^runs/, 'What is carried at a time, bag by bag in the order of driving, within the limit that you gave.'],
  [/^day\./, 'Added up over all plots of the day, in whole bags.'],
  [/^season\.guess/, 'The newest guess of the plot’s size when the sheet was kept, against its measured area.'],
  [/^season\.measured/, 'The survey that was in use when the sheet was kept.'],
  [/^season\.planned/, 'The rate of the mix times the area, as the sheet said on its day.'],
  [/^season\.used/, 'What you said was really used, over the area that was to be covered.'],
  [/^season\.cv/, 'Predicted by the sheet: the pattern of the spreader laid along its passes, with a driver’s wander where it was looked at.'],
  [/^season\.counts/, 'What you counted on the ground.'],
  [/^job\.planned/, 'What the sheet says to pour, for the passes that were driven.'],
  [/^job\.used/, 'What you say was used, over the ground of the passes that were driven.'],
  [/^job\.flow/, 'What was used, divided by the time that the driven passes take at the speed. The catch tests are those kept with the spreader.'],
  [/^lime\.recommended/, 'What the laboratory asks for. From a buffer index it is read off a printed table, in pounds of effective neutralizing power.'],
  [/^lime\.power/, 'The effective neutralizing power of the label; else fineness times CCE, less the moisture; else the CCE alone.'],
  [/^lime\./, 'The recommendation, times the power that it assumes over the power of this lime, times the depth that it is worked into over the depth that the report is for.'],
  [/^stand/, 'The seeds in what is spread, over the measured area.'],
  [/^afterwards/, 'Counted from the day of the job; the depth from the seeds in the mix.'],
];

export function markWords(mark: source.Mark): string {
  switch (mark.kind) {
    case 'published':
      return mark.cite ?? 'published';
    case 'practice':
      return 'Common practice, no source';
    case 'memory':
      return 'From memory, unverified';
    case 'measured':
      return 'Your own measurement';
    case 'stated':
      return mark.overrides ? `As you entered it, instead of ${mark.overrides}` : 'As you entered it';
    default:
      return 'By definition';
  }
}

const massOf = /^(materials\[\d+\]\.)mass_kg$/;

/** Every answer for a figure's path, nearest first; never none. */
export function whence(path: string, sources: readonly source.Entry[]): Answer[] {
  const about = (figure: string) =>
    sources
      .filter((entry) => figure === entry.figure || figure.startsWith(`${entry.figure}.`) || figure.startsWith(`${entry.figure}[`))
      .map((entry) => ({ says: entry.says, mark: markWords(entry) }));
  const own = about(path);
  const material = massOf.exec(path)?.[1];
  if (material && sources.some((entry) => entry.figure === path)) return own; // entered for the plot: it follows from no rate
  if (material) own.push(...about(`${material}rate_kg_per_m2`).filter((answer) => !own.some((one) => one.says === answer.says)));
  const how = derived.find(([pattern]) => pattern.test(path));
  if (how) own.push({ says: how[1], mark: '' });
  return own.length ? own : [{ says: 'Worked out from the other figures of this sheet.', mark: '' }];
}
