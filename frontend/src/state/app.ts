// The one set of services behind every page.
import { createCore } from '../core/client';
import type { Wording } from '../core/api';
import { Book, type Device } from './book.svelte';
import { choices } from './choices.svelte';
import { DeviceMemory } from './remembered';
import { Server } from './server';
import { unsaid } from './lasting';
import { Words } from './words.svelte';

export const core = createCore();
export const server = new Server();
export const book = new Book(server, device());
export const words = new Words(core);

/** A quantity in the person's units; an ellipsis until the core has written it. */
export function say(as: Wording, value: number | string | undefined, what?: string): string {
  if (value === undefined) return unsaid;
  return words.say(choices.system, as, value, what) ?? unsaid;
}

/** A device that keeps nothing for a page still shows the notebook. */
function device(): Device | undefined {
  try {
    const store = localStorage as Storage | null; // some windows have none
    return store ? { store, memory: new DeviceMemory() } : undefined;
  } catch {
    return undefined;
  }
}
