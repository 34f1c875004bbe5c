// Runs the core outside a browser: reads one request per line from standard
// input, {"name": ..., "request": ..., "data": base64}, and writes one answer
// per line, {"json": ..., "f64": [...]}.
//   node answer.cjs WASM_EXEC_JS CORE_WASM
const { createInterface } = require('node:readline');
const { readFileSync } = require('node:fs');

const [, , glue, core] = process.argv;
require(glue);

async function main() {
  const go = new Go();
  const { instance } = await WebAssembly.instantiate(readFileSync(core), go.importObject);
  go.run(instance).then(() => process.exit(3));
  for await (const line of createInterface({ input: process.stdin })) {
    const { name, request, data } = JSON.parse(line);
    const [json, f64] = globalThis.evenfallCall(name, Buffer.from(request, 'base64'), Buffer.from(data ?? '', 'base64'));
    process.stdout.write(JSON.stringify({ json: Buffer.from(json).toString(), f64: Array.from(f64) }) + '\n');
  }
  process.exit(0);
}

main();
