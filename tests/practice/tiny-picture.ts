import { crc32, deflateSync } from 'node:zlib';

function chunk(name: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name, 'latin1'), data]);
  const ends = Buffer.alloc(8);
  ends.writeUInt32BE(data.length, 0);
  ends.writeUInt32BE(crc32(body), 4);
  return Buffer.concat([ends.subarray(0, 4), body, ends.subarray(4)]);
}

/** A true PNG (ISO/IEC 15948), grey on white: three beats of an invented pressure. */
export function tinyPicture(widthPixels = 900, heightPixels = 300): Buffer {
  const rows = Array.from({ length: heightPixels }, () => Buffer.alloc(widthPixels + 1, 255));
  for (const row of rows) row[0] = 0;
  for (let x = 0; x < widthPixels; x += 1) {
    const phase = (x % 300) / 300;
    const height = phase < 0.15 ? phase / 0.15 : Math.exp((0.15 - phase) * 3);
    const y = Math.round((heightPixels - 20) * (1 - height)) + 10;
    for (let thick = -2; thick <= 2; thick += 1) {
      const row = rows[Math.min(heightPixels - 1, Math.max(0, y + thick))];
      if (row) row[x + 1] = 40;
    }
  }
  const header = Buffer.alloc(13);
  header.writeUInt32BE(widthPixels, 0);
  header.writeUInt32BE(heightPixels, 4);
  header[8] = 8;
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', header),
    chunk('IDAT', deflateSync(Buffer.concat(rows))),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}
