// The plot on the desk and its live sheet, for every part of the page.
import { createContext } from 'svelte';
import type { Desk } from './desk.svelte';
import type { Live } from './live.svelte';

export interface Working {
  readonly desk: Desk;
  readonly live: Live;
}

export const [working, provideWorking] = createContext<Working>();
