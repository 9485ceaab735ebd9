import { createWriteStream, mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { demoDrop } from "./drop.ts";
import { DEMO, type DemoWorld, makeWorld, type WorldOptions } from "./world.ts";

export const quoted = (cell: string) => (/[",\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);

/** The truth of a world: what is planted where. It lies beside the drop, and nothing in lib/ reads it. */
export function truthOf(
  world: DemoWorld,
): { siteId: string; kind: string; causes: readonly string[]; hazard: string | null; clockHours: number }[] {
  return world.sites.map((s) => ({
    siteId: s.siteId,
    kind: s.planted.kind,
    causes: s.planted.causes,
    hazard: s.hazard,
    clockHours: s.clockHours,
  }));
}

/** Write the drop of a world into a folder, one CSV a file of the contract. */
export async function writeDemoDrop(folder: string, options: WorldOptions = DEMO): Promise<DemoWorld> {
  const world = makeWorld(options);
  mkdirSync(folder, { recursive: true });
  for (const { file, header, rows } of demoDrop(world)) {
    const lines = function* () {
      let chunk = `${header.join(",")}\n`;
      for (const row of rows()) {
        chunk += `${row.map(quoted).join(",")}\n`;
        if (chunk.length > 65_536) {
          yield chunk;
          chunk = "";
        }
      }
      yield chunk;
    };
    await pipeline(Readable.from(lines()), createWriteStream(path.join(folder, file)));
  }
  return world;
}

/** The truth file beside a drop folder. */
export function writeTruth(folder: string, world: DemoWorld): string {
  const file = `${folder.replace(/\/$/, "")}-truth.json`;
  writeFileSync(file, `${JSON.stringify(truthOf(world), null, 1)}\n`);
  return file;
}
