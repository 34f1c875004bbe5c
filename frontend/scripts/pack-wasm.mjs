// Joins the data segments of a WebAssembly file that lie close together.
// Go's linker leaves runs of zeros out and so writes a hundred thousand tiny
// segments, each with its address, which compress badly: joined, the core is
// some 100 KB smaller after brotli, and quicker to start. Memory holds the
// same bytes either way, because it starts as zeros.
//   node pack-wasm.mjs IN OUT
import { readFileSync, writeFileSync } from 'node:fs';

const dataSection = 11;
const farApart = 1024; // bytes of zeros that are worth a new segment

class Reader {
  constructor(bytes) {
    this.bytes = bytes;
    this.at = 0;
  }

  byte() {
    return this.bytes[this.at++];
  }

  unsigned() {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const b = this.byte();
      value += (b & 127) * 2 ** shift;
      if (b < 128) return value;
    }
  }

  signed() {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const b = this.byte();
      value += (b & 127) * 2 ** shift;
      if (b < 128) return b & 64 ? value - 2 ** (shift + 7) : value;
    }
  }

  take(n) {
    this.at += n;
    return this.bytes.subarray(this.at - n, this.at);
  }
}

function unsigned(n) {
  const out = [];
  do {
    out.push((n % 128) | (n >= 128 ? 128 : 0));
    n = Math.floor(n / 128);
  } while (n > 0);
  return out;
}

// The addresses here are never negative, so one bit of room for the sign does.
function positive(n) {
  const out = unsigned(n);
  if (out[out.length - 1] & 64) {
    out[out.length - 1] |= 128;
    out.push(0);
  }
  return out;
}

function segmentsOf(section) {
  const from = new Reader(section);
  const segments = [];
  for (let left = from.unsigned(); left > 0; left--) {
    const [flags, opcode] = [from.unsigned(), from.byte()];
    const address = from.signed();
    if (flags !== 0 || opcode !== 0x41 || from.byte() !== 0x0b || address < 0) {
      throw new Error('a data segment of another kind than Go writes');
    }
    segments.push({ address, bytes: from.take(from.unsigned()) });
  }
  return segments.sort((a, b) => a.address - b.address);
}

function joined(segments) {
  const groups = [];
  for (const segment of segments) {
    const last = groups.at(-1);
    if (last && segment.address - last.end <= farApart) {
      last.parts.push(segment);
      last.end = segment.address + segment.bytes.length;
    } else {
      groups.push({ start: segment.address, end: segment.address + segment.bytes.length, parts: [segment] });
    }
  }
  return groups.map(({ start, end, parts }) => {
    const bytes = Buffer.alloc(end - start);
    for (const part of parts) bytes.set(part.bytes, part.address - start);
    return { address: start, bytes };
  });
}

function dataOf(segments) {
  const parts = [Buffer.from(unsigned(segments.length))];
  for (const { address, bytes } of segments) {
    parts.push(Buffer.from([0, 0x41, ...positive(address), 0x0b, ...unsigned(bytes.length)]), bytes);
  }
  return Buffer.concat(parts);
}

function packed(file) {
  const from = new Reader(file);
  const parts = [from.take(8)]; // magic number and version
  while (from.at < file.length) {
    const id = from.byte();
    const section = from.take(from.unsigned());
    const body = id === dataSection ? dataOf(joined(segmentsOf(section))) : section;
    parts.push(Buffer.from([id, ...unsigned(body.length)]), body);
  }
  return Buffer.concat(parts);
}

const [, , source, target] = process.argv;
writeFileSync(target, packed(readFileSync(source)));
