import { accessSync, constants, mkdirSync } from "node:fs";
import path from "node:path";
import { AppError } from "../core/app-error.ts";

/** Where this installation keeps its database, uploads and run files: RAINTRIP_DATA, else `.raintrip` in the working folder. */
export function dataFolder(): string {
  return path.resolve(process.env.RAINTRIP_DATA || ".raintrip");
}

/**
 * The data folder, made if missing.
 * @throws AppError `folder_unusable` when it cannot be made or written
 */
export function ensureDataFolder(): string {
  const folder = dataFolder();
  try {
    mkdirSync(folder, { recursive: true });
    accessSync(folder, constants.W_OK | constants.X_OK);
  } catch (cause) {
    throw new AppError("folder_unusable", {
      message: `The data folder ${folder} cannot be written. Give this user write access to it, or set RAINTRIP_DATA to a folder that it can write.`,
      cause,
    });
  }
  return folder;
}
