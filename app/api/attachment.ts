/** Headers of a file that is saved, never shown: whatever is in it runs nowhere. RFC 6266, with RFC 8187 for other letters. */
export function attachment(fileName: string, mediaType: string): Record<string, string> {
  const plain = fileName.replace(/[^A-Za-z0-9._ -]/g, "_");
  return {
    "content-type": mediaType,
    "content-disposition": `attachment; filename="${plain}"; filename*=UTF-8''${encodeURIComponent(fileName).replace(/['()*]/g, (c) => `%${c.charCodeAt(0).toString(16).toUpperCase()}`)}`,
    "content-security-policy": "default-src 'none'; sandbox",
    "cache-control": "no-store",
  };
}
