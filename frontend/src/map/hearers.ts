// Who listens to the map, shared by the real map and its fake.
import type { MapEvents } from './adapter';

type Hear<K extends keyof MapEvents> = (value: MapEvents[K]) => void;

export class Hearers {
  private readonly lists = new Map<keyof MapEvents, Set<Hear<never>>>();

  on<K extends keyof MapEvents>(event: K, hear: Hear<K>): () => void {
    const list = this.lists.get(event) ?? new Set();
    this.lists.set(event, list);
    list.add(hear as Hear<never>);
    return () => list.delete(hear as Hear<never>);
  }

  emit<K extends keyof MapEvents>(event: K, value: MapEvents[K]): void {
    for (const hear of this.lists.get(event) ?? []) (hear as unknown as Hear<K>)(value);
  }
}
