/** Keeps the screen on, where the browser lets a page do so, until the answer is
    called. The browser lets go whenever the page is out of sight. */
export function stayAwake(locks = (navigator as Partial<Navigator>).wakeLock, page = document): () => void {
  let ended = false;
  let held: WakeLockSentinel | undefined;
  async function hold(): Promise<void> {
    if (!locks || page.visibilityState !== 'visible') return;
    try {
      const lock = await locks.request('screen');
      if (ended) await lock.release();
      else held = lock;
    } catch {
      // A battery that is low: the walk goes on, the person holds the phone awake.
    }
  }
  const seen = () => void hold();
  page.addEventListener('visibilitychange', seen);
  void hold();
  return () => {
    ended = true;
    page.removeEventListener('visibilitychange', seen);
    void held?.release();
  };
}
