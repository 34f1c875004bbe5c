import { flushSync, mount, tick, unmount } from 'svelte';
import { describe, expect, it } from 'vitest';
import NameField from './NameField.svelte';

describe('a name', () => {
  it('is kept when it is emptied, and the field says so until it has one', async () => {
    const given: string[] = [];
    const part = mount(NameField, { target: document.body, props: { label: 'What is it?', value: 'creek', onset: (name: string) => given.push(name) } });
    flushSync();
    const entry = document.body.querySelector('input')!;
    const leave = async (text: string) => {
      entry.value = text;
      entry.dispatchEvent(new Event('change', { bubbles: true }));
      await tick();
      await tick();
      flushSync();
    };
    await leave('  ');
    expect(given).toEqual([]);
    expect(entry.value).toBe('creek');
    expect(document.body.textContent).toContain('A name is needed: “creek” stays');
    await leave(' pond ');
    expect(given).toEqual(['pond']);
    expect(entry.getAttribute('aria-invalid')).toBeNull();
    void unmount(part);
  });
});
