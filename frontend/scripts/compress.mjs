// Lays brotli and gzip copies beside every built file that gets smaller by
// them, for the server to send as they are: browsers take brotli only over a
// secure connection or from their own machine, so a phone on the same network
// needs gzip. The core is kept in its compressed forms alone; whoever takes
// neither gets it unzipped. Compressing it takes half a minute, so what was
// compressed before is kept in .stamps/compressed.
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, constants, gzipSync } from 'node:zlib';

const folder = new URL('../dist/', import.meta.url).pathname;
const kept = new URL('../.stamps/compressed/', import.meta.url).pathname;
const kinds = /\.(html|js|css|wasm|svg|json|webmanifest)$/;

function brotli(plain) {
  return brotliCompressSync(plain, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: plain.length,
    },
  });
}

const codings = { br: brotli, gz: (plain) => gzipSync(plain, { level: 9 }) };
const used = new Set();

function compressed(coding, plain) {
  const name = `${createHash('sha256').update(plain).digest('hex')}.${coding}`;
  used.add(name);
  try {
    return readFileSync(join(kept, name));
  } catch {
    const small = codings[coding](plain);
    writeFileSync(join(kept, name), small);
    return small;
  }
}

mkdirSync(kept, { recursive: true });
for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
  if (!entry.isFile() || !kinds.test(entry.name)) continue;
  const path = join(entry.parentPath, entry.name);
  const plain = readFileSync(path);
  for (const coding of Object.keys(codings)) {
    const small = compressed(coding, plain);
    if (small.length < plain.length) writeFileSync(`${path}.${coding}`, small);
  }
  if (path.endsWith('.wasm')) rmSync(path);
}
for (const name of readdirSync(kept)) {
  if (!used.has(name)) rmSync(join(kept, name));
}
