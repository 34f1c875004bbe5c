// The sheet on the page, for every figure that is asked where it comes from. Of
// a page that shows no sheet, the sources of what it shows.
import { createContext } from 'svelte';
import type * as source from '../generated/source';

export const [sheetInContext, provideSheet] = createContext<() => { readonly sources: readonly source.Entry[] } | undefined>();
