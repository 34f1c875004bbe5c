// Runs the core. The page sends it compiled; requests are answered in order.
import './wasm_exec.js';
import type { Ask, Begin, Notice, Reply } from './wire';

type Call = (name: string, request: Uint8Array, data: Uint8Array | undefined) => [Uint8Array, Float64Array, Float32Array, Int32Array];

declare const Go: new () => {
  importObject: WebAssembly.Imports;
  run(instance: WebAssembly.Instance): Promise<void>;
};

const scope = globalThis as unknown as DedicatedWorkerGlobalScope & { evenfallCall: Call };
const text = new TextEncoder();

function answer(ask: Ask): void {
  const start = performance.now();
  const [json, f64, f32, i32] = scope.evenfallCall(ask.name, text.encode(JSON.stringify(ask.request)), ask.data);
  const reply: Reply = { id: ask.id, json, f64, f32, i32, tookMs: performance.now() - start };
  scope.postMessage(reply, [json.buffer, f64.buffer, f32.buffer, i32.buffer]);
}

function tell(notice: Notice): void {
  scope.postMessage(notice);
}

async function begin(module: WebAssembly.Module): Promise<void> {
  const go = new Go();
  const instance = await WebAssembly.instantiate(module, go.importObject);
  void go.run(instance).then(
    () => tell({ ended: 'the core ended' }),
    (error: unknown) => tell({ ended: String(error) }),
  );
  tell({ begun: true });
}

scope.onmessage = (event: MessageEvent<Begin | Ask>) => {
  if ('module' in event.data) {
    begin(event.data.module).catch((error: unknown) => tell({ ended: String(error) }));
    return;
  }
  try {
    answer(event.data);
  } catch (error) {
    tell({ ended: String(error) });
  }
};
