// Entries that the core is still reading. What a press does waits for them: a
// figure typed just before it would be missing.

/** Settles with whether the entry could be read. */
const underWay = new Set<Promise<boolean>>();

export function reading(entry: Promise<boolean>): void {
  underWay.add(entry);
  const done = () => underWay.delete(entry);
  entry.then(done, done);
}

export function stillReading(): boolean {
  return underWay.size > 0;
}

/** Settles when nothing is being read any more, with whether all of it could be read. */
export async function allRead(): Promise<boolean> {
  let right = true;
  while (stillReading()) {
    const read = await Promise.allSettled(underWay);
    right &&= read.every((one) => one.status === 'fulfilled' && one.value);
  }
  return right;
}

/** Whether an entry of a form says that it is wrong; takes the person to it. */
export function wrongIn(form: HTMLElement): boolean {
  const entry = form.querySelector<HTMLElement>('[aria-invalid="true"]');
  entry?.focus();
  return entry !== null;
}
