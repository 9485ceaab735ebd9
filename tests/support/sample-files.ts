import { deflateSync } from "node:zlib";

/** CRC-32 of PNG (ISO 3309). */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let k = 0; k < 8; k++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}

function chunk(type: string, data: Buffer): Buffer {
  const head = Buffer.concat([Buffer.from(type, "latin1"), data]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(data.length);
  const crc = Buffer.alloc(4);
  crc.writeUInt32BE(crc32(head));
  return Buffer.concat([length, head, crc]);
}

/** A PNG of one grey square, `extra` bytes longer than it need be; another `shade` gives another file. */
export function samplePng(shade = 128, extra = 0): Buffer {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(1, 0);
  header.writeUInt32BE(1, 4);
  header[8] = 8;
  const filler = extra > 0 ? [chunk("raIn", Buffer.alloc(extra, shade))] : [];
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk("IHDR", header),
    ...filler,
    chunk("IDAT", deflateSync(Buffer.from([0, shade]))),
    chunk("IEND", Buffer.alloc(0)),
  ]);
}

/** A request that carries a file, as a browser sends one. */
export const fileRequest = (bytes: Uint8Array): Request =>
  new Request("http://localhost/", { method: "POST", body: new Uint8Array(bytes) });
