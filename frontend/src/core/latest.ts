// Lets one request of a kind run and one wait: the newest. Those between are
// superseded before they cost anything.
import { Superseded } from './api';

interface Job {
  run(): Promise<void>;
  drop(): void;
}

export class Latest {
  private running = false;
  private waiting: Job | undefined;

  ask<T>(run: () => Promise<T>): Promise<T> {
    return new Promise((resolve, reject) => {
      this.waiting?.drop();
      this.waiting = {
        run: () => run().then(resolve, reject),
        drop: () => reject(new Superseded()),
      };
      this.go();
    });
  }

  private go(): void {
    const job = this.waiting;
    if (this.running || !job) return;
    this.running = true;
    this.waiting = undefined;
    void job.run().finally(() => {
      this.running = false;
      this.go();
    });
  }
}
