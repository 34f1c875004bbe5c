// The ink of the map, read from the page's tokens so that day and night need
// no second palette.

export interface Ink {
  paper: string;
  paperShade: string;
  ink: string;
  inkSoft: string;
  grid: string;
  gridStrong: string;
  pencil: string;
  pencilWash: string;
  water: string;
  onInk: string;
  text: string;
  evenness: string[]; // thin to thick, 7 steps
}

const tokens: Record<Exclude<keyof Ink, 'evenness'>, string> = {
  paper: '--paper',
  paperShade: '--paper-shade',
  ink: '--ink',
  inkSoft: '--ink-soft',
  grid: '--grid',
  gridStrong: '--grid-strong',
  pencil: '--pencil',
  pencilWash: '--pencil-wash',
  water: '--water',
  onInk: '--on-ink',
  text: '--text',
};

export const evennessTokens = ['--thin-3', '--thin-2', '--thin-1', '--even', '--thick-1', '--thick-2', '--thick-3'];

export function readInk(of: Element = document.documentElement): Ink {
  const style = getComputedStyle(of);
  const read = (token: string) => style.getPropertyValue(token).trim();
  const ink = Object.fromEntries(Object.entries(tokens).map(([name, token]) => [name, read(token)]));
  return { ...(ink as Omit<Ink, 'evenness'>), evenness: evennessTokens.map(read) };
}
