import { mount, unmount } from 'svelte';
import { afterEach, describe, expect, it, vi } from 'vitest';
import OnlyHere from './OnlyHere.svelte';

afterEach(() => vi.unstubAllGlobals());

describe('the word on an address without https', () => {
  for (const [secure, told] of [[false, true], [true, false]] as const) {
    it(secure ? 'is not said by https' : 'is said by http', () => {
      vi.stubGlobal('isSecureContext', secure);
      document.body.innerHTML = '';
      const shown = mount(OnlyHere, { target: document.body });
      expect(document.body.textContent.includes('open Evenfall by https')).toBe(told);
      void unmount(shown);
    });
  }
});
