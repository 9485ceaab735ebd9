export type PictureType = "image/jpeg" | "image/png" | "image/webp";

const ascii = (bytes: Uint8Array, from: number, to: number) => String.fromCharCode(...bytes.subarray(from, to));

/** What a picture is by its first bytes; its name and its declared type prove nothing. Null: no picture we keep. */
export function pictureType(bytes: Uint8Array): PictureType | null {
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return "image/jpeg";
  if (bytes[0] === 0x89 && ascii(bytes, 1, 8) === "PNG\r\n\u001a\n") return "image/png";
  return ascii(bytes, 0, 4) === "RIFF" && ascii(bytes, 8, 12) === "WEBP" ? "image/webp" : null;
}

/**
 * A picture without what the camera wrote beside it: time, position, maker's notes, thumbnails. The image itself is not
 * touched. JPEG loses APP1 and APP3 to APP13, APP15 and comments (the colour profile of APP2 and Adobe's APP14 are
 * needed to show it) and what follows its end; PNG its text, time and eXIf chunks; WebP its EXIF and XMP chunks. A file that ends inside a part
 * is cut there.
 */
export function stripPicture(bytes: Uint8Array): Uint8Array {
  const type = pictureType(bytes);
  if (type === "image/jpeg") return join(jpegParts(bytes));
  if (type === "image/png") return join(pngParts(bytes));
  return type === "image/webp" ? webp(bytes) : bytes;
}

function join(parts: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

/** ITU-T T.81 annex B: a marker, its length, its bytes; from the start of scan on everything is image. */
function jpegParts(bytes: Uint8Array): Uint8Array[] {
  const parts = [bytes.subarray(0, 2)];
  let at = 2;
  while (at + 4 <= bytes.length && bytes[at] === 0xff) {
    const marker = bytes[at + 1] as number;
    if (marker === 0xff) {
      at++;
      continue;
    }
    if (marker === 0xda || marker === 0xd9) break;
    const end = at + 2 + (((bytes[at + 2] as number) << 8) | (bytes[at + 3] as number));
    const isBeside = marker === 0xfe || (marker >= 0xe1 && marker <= 0xef && marker !== 0xe2 && marker !== 0xee);
    if (!isBeside) parts.push(bytes.subarray(at, end));
    at = end;
  }
  parts.push(bytes.subarray(at, endOfImage(bytes, at)));
  return parts;
}

/** In a scan FF D9 is the end and nothing else; what some cameras put behind it has a position of its own. */
function endOfImage(bytes: Uint8Array, from: number): number {
  for (let at = bytes.indexOf(0xff, from); at >= 0; at = bytes.indexOf(0xff, at + 1))
    if (bytes[at + 1] === 0xd9) return at + 2;
  return bytes.length;
}

const PNG_BESIDE: ReadonlySet<string> = new Set(["tEXt", "zTXt", "iTXt", "eXIf", "tIME"]);

/** ISO/IEC 15948: length, type, bytes, check sum. */
function pngParts(bytes: Uint8Array): Uint8Array[] {
  const parts = [bytes.subarray(0, 8)];
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 8; at + 12 <= bytes.length; ) {
    const end = at + 12 + view.getUint32(at);
    if (!PNG_BESIDE.has(ascii(bytes, at + 4, at + 8))) parts.push(bytes.subarray(at, end));
    at = end;
  }
  return parts;
}

/** RFC 9649: RIFF chunks of even length; the flags of VP8X say which are there, and the header how long it all is. */
function webp(bytes: Uint8Array): Uint8Array {
  const parts = [bytes.slice(0, 12)];
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 12; at + 8 <= bytes.length; ) {
    const length = view.getUint32(at + 4, true);
    const end = at + 8 + length + (length % 2);
    const name = ascii(bytes, at, at + 4);
    const part = bytes.slice(at, end);
    // Bits 2 and 3 of the flags: XMP and EXIF.
    if (name === "VP8X" && part.length > 8) part[8] = (part[8] as number) & ~0b1100;
    if (name !== "EXIF" && name !== "XMP ") parts.push(part);
    at = end;
  }
  const out = join(parts);
  new DataView(out.buffer).setUint32(4, out.length - 8, true);
  return out;
}
