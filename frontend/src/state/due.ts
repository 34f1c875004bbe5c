// What falls due next after a sheet, from the windows that it names.
import type { Sheet, Window } from '../generated/agronomy';

export function windowsOf(sheet: Sheet): Window[] {
  const after = sheet.afterwards;
  return [after.top_dressing, ...(after.due ?? [])]
    .filter((w): w is Window => w !== undefined)
    .sort((a, b) => (a.from < b.from ? -1 : 1));
}

/** The first window that has not passed yet; days as YYYY-MM-DD. */
export function nextDue(sheet: Sheet | undefined, day: string): Window | undefined {
  return sheet && windowsOf(sheet).find((w) => w.to >= day);
}
