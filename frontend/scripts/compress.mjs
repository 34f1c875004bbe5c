// Lays a brotli copy beside every built file that gets smaller by it, for the
// server to send as it is.
import { readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, constants } from 'node:zlib';

const folder = new URL('../dist/', import.meta.url).pathname;
const kinds = /\.(html|js|css|wasm|svg|json|webmanifest)$/;

for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
  if (!entry.isFile() || !kinds.test(entry.name)) continue;
  const path = join(entry.parentPath, entry.name);
  const plain = readFileSync(path);
  const small = brotliCompressSync(plain, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: plain.length,
    },
  });
  if (small.length < plain.length) writeFileSync(path + '.br', small);
}
