// Words that stay until the next ones are known, so that a figure that changes
// many times a second does not flicker.

/** What stands for words that the core has not written yet. */
export const unsaid = '…';

/** Gives back the newest words that were there. */
export function lasting(): (now: string) => string {
  let last = unsaid;
  return (now) => (now === unsaid ? last : (last = now));
}
