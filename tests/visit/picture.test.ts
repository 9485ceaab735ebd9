import { deflateSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { pictureType, stripPicture } from "../../lib/visit/picture.ts";

const bytes = (...parts: (string | number[] | Uint8Array)[]) =>
  Uint8Array.from(parts.flatMap((part) => (typeof part === "string" ? [...Buffer.from(part, "latin1")] : [...part])));
const has = (file: Uint8Array, text: string) => Buffer.from(file).includes(text, 0, "latin1");

// Layouts by ITU-T T.81 annex B (JPEG), ISO/IEC 15948 (PNG) and RFC 9649 (WebP), from memory.
const segment = (marker: number, body: string) => {
  const length = body.length + 2;
  return bytes([0xff, marker, length >> 8, length & 255], body);
};
const JPEG = bytes(
  [0xff, 0xd8],
  segment(0xe0, "JFIF\0"),
  segment(0xe1, "Exif\0\0GPS 12.34"),
  segment(0xe2, "ICC_PROFILE\0"),
  segment(0xfe, "shot by A. Tester"),
  segment(0xdb, "quantiser"),
  [0xff, 0xda, 0, 2, 1, 2, 0xff, 0, 3, 0xff, 0xd9],
  "a second picture with GPS",
);

const chunk = (type: string, body: string | Uint8Array) => {
  const data = bytes(body as string);
  const length = [data.length >>> 24, (data.length >> 16) & 255, (data.length >> 8) & 255, data.length & 255];
  return bytes(length, type, data, [0, 0, 0, 0]);
};
const PNG = bytes(
  [0x89],
  "PNG\r\n\u001a\n",
  chunk("IHDR", "0123456789abc"),
  chunk("tEXt", "Comment\0roof of the owner"),
  chunk("eXIf", "GPS 12.34"),
  chunk("IDAT", deflateSync(Buffer.from("image"))),
  chunk("IEND", ""),
);

const riff = (name: string, body: string) => {
  const length = body.length;
  return bytes(name, [length & 255, length >> 8, 0, 0], body, length % 2 ? [0] : []);
};
const webpBody = bytes(
  "WEBP",
  riff("VP8X", "\u000c\0\0\0\u0001\0\0\u0001\0\0"),
  riff("VP8 ", "image"),
  riff("EXIF", "GPS 12.34"),
  riff("XMP ", "<x/>"),
);
const WEBP = bytes("RIFF", [webpBody.length & 255, webpBody.length >> 8, 0, 0], webpBody);

describe("stripPicture", () => {
  test.each([
    ["image/jpeg", JPEG, ["JFIF", "ICC_PROFILE", "quantiser"]],
    ["image/png", PNG, ["IHDR", "IDAT", "IEND"]],
    ["image/webp", WEBP, ["VP8X", "VP8 ", "image"]],
  ] as const)("%s loses position, time and words, and stays the same picture otherwise", (type, file, kept) => {
    expect(pictureType(file)).toBe(type);
    const stripped = stripPicture(file);
    expect(pictureType(stripped)).toBe(type);
    for (const gone of ["GPS", "A. Tester", "roof", "<x/>"]) expect(has(stripped, gone)).toBe(false);
    for (const part of kept) expect(has(stripped, part)).toBe(true);
    expect(stripPicture(stripped)).toEqual(stripped);
  });
  test("the scan of a JPEG is not touched, whatever bytes are in it", () => {
    expect([...stripPicture(JPEG).slice(-11)]).toEqual([0xff, 0xda, 0, 2, 1, 2, 0xff, 0, 3, 0xff, 0xd9]);
  });
  test("a WebP says in its header how long it is, and no longer that it has EXIF or XMP", () => {
    const stripped = stripPicture(WEBP);
    const view = new DataView(stripped.buffer);
    expect(view.getUint32(4, true)).toBe(stripped.length - 8);
    expect((stripped[20] as number) & 0b1100).toBe(0);
  });
  test("a file that is cut in the middle is cut, not read past its end", () => {
    for (const file of [JPEG, PNG, WEBP]) {
      for (let end = 12; end < file.length; end++)
        expect(stripPicture(file.slice(0, end)).length).toBeLessThanOrEqual(end);
    }
  });
});
