// A bare number as people write it: 2, 1.5, 1,5, 3/4, 1 1/2.

const written = /^(?:(\d+(?:[.,]\d+)?)|(?:(\d+)\s+)?(\d+)\s*\/\s*(\d+))$/;

/** The number, or undefined where the text is none. */
export function numberOf(text: string): number | undefined {
  const found = written.exec(text.trim());
  if (!found) return undefined;
  const [, plain, whole, over, under] = found;
  if (plain !== undefined) return Number(plain.replace(',', '.'));
  return Number(under) === 0 ? undefined : Number(whole ?? 0) + Number(over) / Number(under);
}
