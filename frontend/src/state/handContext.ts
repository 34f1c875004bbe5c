// The hand, for the map and for the parts that move corners by keyboard.
import { createContext } from 'svelte';
import type { Hand } from './hand.svelte';

export const [theHand, provideHand] = createContext<Hand>();
