import { statSync } from "node:fs";
import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { missingPhotoLines } from "../store/backup-photos.ts";
import { makeBackup } from "../writes/make-backup.ts";
import { readArguments } from "./read-arguments.ts";

/** `backup FILE`: works beside a running server. Exit status 1: done, but the picture of a photo on record is missing. */
export async function backupCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: { json: { type: "boolean" } },
  });
  const [file, ...more] = positionals;
  if (!file || more.length > 0)
    throw new AppError("wrong_use", { message: "backup needs one file that is not there yet: backup FILE" });
  const { db } = await readyDatabase();
  const done = await makeBackup(LOCAL_ACTOR, db, { file, madeAt: Date.now() });
  const bytes = statSync(done.file).size;
  if (values.json)
    process.stdout.write(
      `${JSON.stringify({ file: done.file, bytes, ...done.header, tables: done.tables, photos: done.photos })}\n`,
    );
  else {
    for (const t of done.tables) if (t.rows > 0) process.stdout.write(`${t.table}: ${t.rows} rows\n`);
    const { count, bytes: photoBytes } = done.photos;
    process.stdout.write(`photos of visits: ${count}, ${photoBytes} bytes\n`);
    process.stdout.write(
      `${done.file}: ${bytes} bytes. It holds every record in the clear: keep it where only you can read it.\n`,
    );
  }
  for (const line of missingPhotoLines(done.photos)) process.stderr.write(`${line}\n`);
  return done.photos.missing_count > 0 ? 1 : 0;
}
