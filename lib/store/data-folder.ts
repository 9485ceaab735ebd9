import { randomUUID } from "node:crypto";
import { accessSync, constants, mkdirSync, readFileSync, writeFileSync } from "node:fs";
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

/**
 * A name of the data folder that no other has, kept in it: hosts that share a folder share it. Of an installation with workers on
 * several hosts it says where a file lies.
 */
export function dataFolderId(): string {
  const file = path.join(ensureDataFolder(), "folder-id");
  try {
    writeFileSync(file, randomUUID(), { flag: "wx" });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw error;
  }
  return readFileSync(file, "utf8");
}
