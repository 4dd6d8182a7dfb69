// A small picture of our own making, as PNG bytes (PNG specification, third edition), for the camera that a test has not.
// It reads no file.
import { crc32, deflateSync } from 'node:zlib';

function chunk(type, data) {
  const head = Buffer.alloc(4);
  head.writeUInt32BE(data.length);
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const check = Buffer.alloc(4);
  check.writeUInt32BE(sum(body));
  return Buffer.concat([head, body, check]);
}

/** CRC-32 as the specification's annex D has it; Node has its own from 20.15 on. */
function sum(bytes) {
  if (typeof crc32 === 'function') return crc32(bytes);
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}

/** Blue with a bright line scribed across; `seed` moves the line, so that two pictures differ. */
export function picture(seed, width = 320, height = 240) {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head.set([8, 2, 0, 0, 0], 8);
  const rows = Buffer.alloc(height * (1 + width * 3));
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const on = Math.abs(y - (40 + (seed % 150) + x / 8)) < 1.5;
      rows.set(on ? [253, 252, 248] : [15, 45, 125], y * (1 + width * 3) + 1 + x * 3);
    }
  }
  const start = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  return Buffer.concat([start, chunk('IHDR', head), chunk('IDAT', deflateSync(rows)), chunk('IEND', Buffer.alloc(0))]);
}
