import path from "node:path";
import { ensureDataFolder } from "../store/data-folder.ts";

/** Where an upload's files wait for the worker. */
export function uploadFolder(importId: string): string {
  return path.join(ensureDataFolder(), "uploads", importId);
}
