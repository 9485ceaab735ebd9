import { closeSync, mkdirSync, openSync, readdirSync, writeSync } from "node:fs";
import path from "node:path";
import { setImmediate as breathe } from "node:timers/promises";
import { CHATTER_CODES, chatterCells } from "./chatter.ts";
import { demoDrop } from "./drop.ts";
import { LARGE_FLEET, type LargeFleetOptions, largeFleet } from "./large-fleet.ts";
import { quoted } from "./write-demo.ts";

const PIECE = 1 << 20;

/** Files that are written beside each other, each in pieces of a megabyte. */
class DropWriter {
  readonly #open = new Map<string, { fd: number; text: string; rows: number }>();
  readonly #folder: string;
  constructor(folder: string) {
    this.#folder = folder;
  }

  append(file: string, header: readonly string[], rows: Iterable<string[]>): void {
    let to = this.#open.get(file);
    if (!to) {
      to = { fd: openSync(path.join(this.#folder, file), "wx"), text: `${header.join(",")}\n`, rows: 0 };
      this.#open.set(file, to);
    }
    for (const row of rows) {
      to.text += `${row.map(quoted).join(",")}\n`;
      to.rows++;
      if (to.text.length > PIECE) flush(to);
    }
  }

  get rows(): Record<string, number> {
    return Object.fromEntries([...this.#open].map(([file, { rows }]) => [file, rows]));
  }

  end(): void {
    for (const to of this.#open.values()) {
      flush(to);
      closeSync(to.fd);
    }
  }
}

function flush(to: { fd: number; text: string }): void {
  const bytes = Buffer.from(to.text);
  for (let at = 0; at < bytes.length; ) at += writeSync(to.fd, bytes, at);
  to.text = "";
}

export interface WriteLargeFleet extends Partial<LargeFleetOptions> {
  /** false: weather.csv is left out; at five years it is by far the largest file. */
  weather?: boolean;
  signal?: AbortSignal;
  onProgress?: (sites: number, of: number) => void;
}

/**
 * Write the drop of an invented fleet of any size. One station's weather and sites are in memory at a time.
 * @returns rows by file; `stopped` when the signal ended it, the folder then holds whole rows of a part of the fleet
 * @throws Error when the folder holds something already
 */
export async function writeLargeFleet(
  folder: string,
  { weather = true, signal, onProgress, ...asked }: WriteLargeFleet = {},
): Promise<{ rows: Record<string, number>; stopped: boolean }> {
  const options = { ...LARGE_FLEET, ...asked };
  mkdirSync(folder, { recursive: true });
  if (readdirSync(folder).length > 0)
    throw new Error(`${folder} is not empty; name a new folder, so that two fleets do not mix.`);
  const writer = new DropWriter(folder);
  let done = 0;
  try {
    for (const { world, firstIndex, crews } of largeFleet(options)) {
      const codes = firstIndex === 0 ? CHATTER_CODES : [];
      const files = demoDrop(world, { firstIndex, codes, crews, faultsOf: (site) => chatterCells(world, site) });
      for (const { file, header, rows } of files)
        if (weather || file !== "weather.csv") writer.append(file, header, rows());
      done += world.sites.length;
      onProgress?.(done, options.sites);
      // Lets a signal through.
      await breathe();
      if (signal?.aborted) break;
    }
  } finally {
    writer.end();
  }
  return { rows: writer.rows, stopped: done < options.sites };
}
