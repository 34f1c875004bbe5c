// Whether what is on the desk is kept: in a word or two, and all there is to say.
import type { Desk } from './desk.svelte';

interface Words {
  short: string;
  long: string;
  /** A person has to do something about it. */
  wrong: boolean;
}

const noRoom = 'this device has no room to keep it';

export function keepingWords({ keeping, kept, problem, book }: Pick<Desk, 'keeping' | 'kept' | 'problem' | 'book'>): Words {
  const { full } = book.outbox;
  switch (keeping) {
    case 'saving':
      return { short: 'keeping …', long: 'keeping …', wrong: false };
    case 'waiting': {
      const short = full || kept?.revision === 0 ? 'not sent yet' : 'no signal';
      return { short, long: full ? `${short}, and ${noRoom}: do not close the page` : `${short}: kept on this device until it can be sent`, wrong: full };
    }
    case 'conflict':
      return { short: 'two versions', long: 'changed by someone else too: choose below', wrong: true };
    case 'refused':
      return { short: 'not kept', long: `not kept: ${problem?.sentence ?? ''}${full ? `; ${noRoom} either: do not close the page` : ''}`, wrong: true };
    default:
      return { short: 'kept', long: 'kept', wrong: false };
  }
}
