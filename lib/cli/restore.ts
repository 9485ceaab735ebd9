import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { missingPhotoLines } from "../store/backup-photos.ts";
import { restore } from "../store/restore.ts";
import { readArguments } from "./read-arguments.ts";

/** `restore FILE`: into an empty database only. */
export async function restoreCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: { json: { type: "boolean" } },
  });
  const [file, ...more] = positionals;
  if (!file || more.length > 0) throw new AppError("wrong_use", { message: "restore needs one backup: restore FILE" });
  const { db } = await readyDatabase();
  const { header, tables, photos, audit } = await restore(db.address, file);
  if (values.json) process.stdout.write(`${JSON.stringify({ made_at: header.made_at, tables, photos, audit })}\n`);
  else {
    for (const t of tables) if (t.rows > 0) process.stdout.write(`${t.table}: ${t.rows} rows, checksum as backed up\n`);
    if (photos) process.stdout.write(`photos of visits: ${photos.count}, each as backed up\n`);
    for (const a of audit) {
      const state =
        a.firstBroken === null ? "chain intact" : `chain broken at entry ${a.firstBroken}, as in the backup`;
      process.stdout.write(`audit log of account ${a.account}: ${a.entries} entries, ${state}\n`);
    }
  }
  if (photos) for (const line of missingPhotoLines(photos)) process.stderr.write(`${line}\n`);
  else
    process.stderr.write(
      "This backup is from before it carried photos: copy the folder visit-photos of its data folder into this one's.\n",
    );
  return 0;
}
