// The sheet on the page, for every figure that is asked where it comes from.
import { createContext } from 'svelte';
import type * as agronomy from '../generated/agronomy';

export const [sheetInContext, provideSheet] = createContext<() => agronomy.Sheet | undefined>();
