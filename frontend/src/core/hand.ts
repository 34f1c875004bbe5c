// One worker with what it was asked: promises that its replies settle, and a
// new worker in its place when it has to be stopped or stops by itself.
import { CoreFault, Superseded } from './api';
import { opened, type Ask, type Notice, type Reply } from './wire';

/** The part of a Worker that is used, so that a test can stand in for it. */
export interface Port {
  postMessage(message: unknown, transfer?: Transferable[]): void;
  terminate(): void;
  onmessage: ((event: MessageEvent<Reply | Notice>) => void) | null;
  onerror: ((event: ErrorEvent) => void) | null;
}

export interface Answered<T> {
  value: T;
  tookMs: number;
}

interface Waiting {
  settle(reply: Reply): void;
  fail(reason: Error): void;
}

export class Hand {
  private port: Port | undefined;
  private readonly waiting = new Map<number, Waiting>();
  private next = 1;
  private failures = 0;
  private closed = false;
  private running = false;
  private begun = (): void => undefined;
  private giveUp = (_why: Error): void => undefined;
  /** Settles when the first worker has begun, or none can be started. */
  readonly ready = new Promise<void>((resolve, reject) => {
    this.begun = resolve;
    this.giveUp = reject;
  });

  constructor(
    private readonly module: Promise<WebAssembly.Module>,
    private readonly spawn: () => Port,
  ) {
    module.catch(() => undefined); // every request reports it
    this.ready.catch(() => undefined);
    this.start();
  }

  get busy(): boolean {
    return this.waiting.size > 0;
  }

  /** It has begun and has nothing to do. */
  get idle(): boolean {
    return this.running && !this.busy;
  }

  async ask<T>(name: string, request: unknown, data?: Uint8Array): Promise<Answered<T>> {
    await this.module.catch((error: unknown) => {
      throw stopped(String(error));
    }); // the core is sent first
    if (this.closed) throw new Superseded();
    if (!this.port) throw stopped('it cannot be started');
    const id = this.next++;
    const message: Ask = { id, name, request, data };
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { settle: (reply) => this.settle(reply, resolve, reject), fail: reject });
      this.port?.postMessage(message);
    });
  }

  /** Stops what is under way; those who wait are told that it was superseded. */
  stop(): void {
    if (!this.busy) return;
    this.end(new Superseded());
    this.start();
  }

  close(): void {
    this.closed = true;
    this.end(new Superseded());
  }

  private start(): void {
    const port = this.spawn();
    this.port = port;
    port.onmessage = (event) => this.hear(port, event.data);
    port.onerror = (event) => this.lose(port, event.message);
    this.module.then(
      (module) => this.port === port && port.postMessage({ module }),
      (error: unknown) => this.lose(port, String(error)),
    );
  }

  private hear(port: Port, said: Reply | Notice): void {
    if ('ended' in said) {
      this.lose(port, said.ended);
    } else if ('begun' in said) {
      this.running = true;
      this.begun();
    } else {
      this.failures = 0;
      const one = this.waiting.get(said.id);
      this.waiting.delete(said.id);
      one?.settle(said);
    }
  }

  /** The worker died. A core that dies again and again is not started anew. */
  private lose(port: Port, why: string): void {
    if (this.port !== port) return;
    this.end(stopped(why));
    if (!this.closed && ++this.failures <= 3) this.start();
    else this.giveUp(stopped(why));
  }

  private end(reason: Error): void {
    this.port?.terminate();
    this.port = undefined;
    this.running = false;
    const all = [...this.waiting.values()];
    this.waiting.clear();
    for (const one of all) one.fail(reason);
  }

  private settle<T>(reply: Reply, resolve: (a: Answered<T>) => void, reject: (reason: unknown) => void): void {
    try {
      resolve({ value: opened<T>(reply), tookMs: reply.tookMs });
    } catch (error) {
      reject(error);
    }
  }
}

function stopped(why: string): CoreFault {
  return new CoreFault({ kind: 'invalid', code: 'core_stopped', what: `the core stopped: ${why}`, remedy: 'load the page again' });
}
