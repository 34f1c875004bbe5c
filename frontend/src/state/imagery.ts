// Imagery of the person's choice. The server's content policy lets the page
// load pictures from one other host, which a cookie names; a fresh reading of
// the page then carries the policy that allows it.
import type { Ground } from '../map/adapter';
import { choices } from './choices.svelte';

const cookie = 'evenfall-imagery'; // as the server reads it
const aYearS = 365 * 24 * 3600;

/** What the program says of the tile file that it serves. */
export interface ServedTiles {
  name?: string;
  attribution?: string;
  path?: string;
}

/** Nothing where the program serves no tile file: then its description is empty. */
export async function servedTiles(): Promise<ServedTiles | undefined> {
  const reply = await fetch('/tiles/info.json').catch(() => undefined);
  const found = reply?.ok ? ((await reply.json()) as ServedTiles) : undefined;
  return found?.path ? found : undefined;
}

export function originOf(url: string): string | undefined {
  return url.startsWith('https://') ? new URL(url.replace(/[{}]/g, '')).origin : undefined;
}

export async function allowImagery(tiles: NonNullable<Ground['tiles']>): Promise<void> {
  choices.set({ tiles });
  const origin = originOf(tiles.url);
  if (!origin) return;
  document.cookie = `${cookie}=${encodeURIComponent(origin)}; path=/; max-age=${aYearS}; SameSite=Strict`;
  await readAnew();
}

export function noImagery(): void {
  choices.set({ tiles: undefined });
  document.cookie = `${cookie}=; path=/; max-age=0; SameSite=Strict`;
}

/** The page kept for offline use carries the policy of before, so it goes first. */
async function readAnew(): Promise<void> {
  const registrations = (await navigator.serviceWorker?.getRegistrations()) ?? [];
  await Promise.all(registrations.map((r) => r.unregister()));
  if ('caches' in globalThis) await Promise.all((await caches.keys()).map((name) => caches.delete(name)));
  location.reload();
}
