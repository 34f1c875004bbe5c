// Undo and redo without limit. A history is a value: every step gives a new
// one that shares the old states, so that keeping all of them costs only what
// changed.

interface Link<T> {
  readonly state: T;
  readonly label: string;
  readonly before: Link<T> | undefined;
}

export interface History<T> {
  readonly present: T;
  readonly past: Link<T> | undefined;
  readonly future: Link<T> | undefined;
}

export function begin<T>(present: T): History<T> {
  return { present, past: undefined, future: undefined };
}

/** A new present; the label names the change that led to it. */
export function commit<T>(h: History<T>, label: string, next: T): History<T> {
  return { present: next, past: { state: h.present, label, before: h.past }, future: undefined };
}

export function undo<T>(h: History<T>): History<T> {
  if (!h.past) return h;
  const { state, label, before } = h.past;
  return { present: state, past: before, future: { state: h.present, label, before: h.future } };
}

export function redo<T>(h: History<T>): History<T> {
  if (!h.future) return h;
  const { state, label, before } = h.future;
  return { present: state, past: { state: h.present, label, before: h.past }, future: before };
}

/** The history with every state changed like this, as by what somebody else
    wrote: undo then goes back over our own changes alone. */
export function mapHistory<T>(h: History<T>, change: (state: T) => T): History<T> {
  return { present: change(h.present), past: mapLinks(h.past, change), future: mapLinks(h.future, change) };
}

function mapLinks<T>(first: Link<T> | undefined, change: (state: T) => T): Link<T> | undefined {
  const links: Link<T>[] = [];
  for (let link = first; link; link = link.before) links.push(link);
  return links.reduceRight<Link<T> | undefined>((before, { state, label }) => ({ state: change(state), label, before }), undefined);
}

/** What undo would take back, in words; undefined when there is nothing. */
export function undoLabel<T>(h: History<T>): string | undefined {
  return h.past?.label;
}

export function redoLabel<T>(h: History<T>): string | undefined {
  return h.future?.label;
}
