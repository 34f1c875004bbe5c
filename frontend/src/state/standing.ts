// Where a record stands that the program does not have as it is here, in words.
import type { Standing } from './outbox.svelte';

export function standingWords({ path, state, problem }: Standing, isNew: boolean): string | undefined {
  switch (state) {
    case 'waiting':
      if (path === '/sheets') return 'its sheet is kept on this device, not sent yet';
      return isNew ? 'on this device only, not sent yet' : 'changed here, not sent yet';
    case 'conflict':
      return 'changed by someone else too: open it and choose';
    case 'refused':
      return `not kept: ${problem?.sentence ?? 'it was not taken'}`;
    default:
      return undefined; // on its way
  }
}
