// Compiles a core in a worker of its own: its eight megabytes arrive in pieces
// that would keep the page from being drawn.
import type { Compiled } from './wire';

const scope = globalThis as unknown as DedicatedWorkerGlobalScope;

function tell(said: Compiled): void {
  scope.postMessage(said);
}

scope.onmessage = (event: MessageEvent<{ from: string }>) => {
  WebAssembly.compileStreaming(fetch(event.data.from)).then(
    (module) => tell({ module }),
    (error: unknown) => tell({ failed: String(error) }),
  );
};
