// Where a figure comes from. The sheet's own sources come first; a figure that
// follows from others says how.
import type * as source from '../generated/source';

export interface Answer {
  says: string;
  mark: string;
}

const derived: [RegExp, string][] = [
  [/^ground\.(area|perimeter)/, 'Measured along the outline on the WGS84 ellipsoid; holes are taken off.'],
  [/^ground\.uncertainty/, 'One standard deviation: how far the area may be off because every corner may be off a little.'],
  [/^ground\.guess/, 'Your guess, compared with the measured area.'],
  [/^spreader\.throw/, 'The pattern of the spreader, edge to edge: from its pan test, or as you described it.'],
  [/^spreader\.(spacing|first_inset)/, 'Chosen by the planner for the most even spread, unless you set it.'],
  [/^spreader\.(flow|groups)/, 'The amount that goes on, divided by the time it takes to drive the passes with the gate open; the gate from your catch tests.'],
  [/^spreader\.per_88/, 'The speed, as a watch reads it over 88 ft.'],
  [/^spreader\.speed/, 'Your choice, or the usual 6 mph moved into the range of the machine. Common practice, no source.'],
  [/^drive\./, 'Counted along the passes that were laid over this outline at this spacing and turning radius.'],
  [/^evenness\./, 'Predicted: the pattern of the spreader is laid along every pass, and the ground is measured cell by cell.'],
  [/^plans/, 'Predicted the same way for every plan: the pattern laid along its passes, measured cell by cell.'],
  [/^materials/, 'The rate times the measured area.'],
  [/^nutrients/, 'What the products hold by their grade, over the measured area.'],
  [/^(loads|shopping)/, 'The amounts for the measured area, split into whole bags and hopper loads.'],
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

/** Every answer for a figure's path, nearest first; never none. */
export function whence(path: string, sources: readonly source.Entry[]): Answer[] {
  const own = sources
    .filter((entry) => path === entry.figure || path.startsWith(`${entry.figure}.`) || path.startsWith(`${entry.figure}[`))
    .map((entry) => ({ says: entry.says, mark: markWords(entry) }));
  const how = derived.find(([pattern]) => pattern.test(path));
  if (how) own.push({ says: how[1], mark: '' });
  return own.length ? own : [{ says: 'Worked out from the other figures of this sheet.', mark: '' }];
}
