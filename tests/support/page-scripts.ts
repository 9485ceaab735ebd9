import { gzipSync } from "node:zlib";

/**
 * What a page makes a browser of today fetch before it listens: bytes of its scripts, gzip, and how many there are.
 * @param ask gives the text at an address of the server
 */
export async function scriptsOf(html: string, ask: (at: string) => Promise<string>) {
  const tags = [...html.matchAll(/<script[^>]+src="([^"]+\.js[^"]*)"[^>]*>/g)].filter((m) => !/nomodule/i.test(m[0]));
  const files = [...new Set(tags.map((m) => m[1] as string))];
  let bytes = 0;
  for (const at of files) bytes += gzipSync(await ask(at.replaceAll("&amp;", "&"))).length;
  return { files: files.length, bytes };
}
