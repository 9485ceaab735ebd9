import "server-only";
import { isReject, rowParser } from "../contract/row-parser.ts";
import { RowTally } from "../contract/row-tally.ts";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { accountRecords } from "../ingest/known-records.ts";
import { mappedFile, sampleOf } from "../ingest/mapped-file.ts";
import { sourceFile } from "../ingest/read-file.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { defaultsFor } from "./import-defaults.ts";
import { SHOWN_REASONS, uploadedFile, waitingOptions } from "./import-mapping.ts";
import type { WholeCount, WholeCountAsk } from "./import-mapping-view.ts";

/** A line is told whenever this share more of the file was read. */
const TELL_SHARE = 0.01;

/**
 * What a mapping would make of every row of a waiting file, told as it is read; nothing is stored. Whoever stops asking
 * stops the reading.
 * @throws AppError `not_found`, `conflict` when the upload waits for nothing, `wrong_use` while the mapping leaves something open
 */
export async function countWholeFile(
  actor: Actor,
  importId: string,
  { file, mapping }: WholeCountAsk,
): Promise<AsyncGenerator<WholeCount>> {
  authorise(actor, "imports.write");
  const options = await waitingOptions(actor, importId);
  const source = await sourceFile(uploadedFile(importId, file));
  const defaults = defaultsFor(mapping.kind ?? "", options);
  const sample = await sampleOf(source, mapping);
  const read = mappedFile(source, mapping, sample, { by: actor.person, defaults }).at(-1);
  if (!read?.spec) throw new AppError("wrong_use", { message: `Nobody said what ${file} holds.` });
  const known = await readTransaction(actor, accountRecords);
  const parser = rowParser(read.spec, read.header, known, defaults);
  const { batches } = read;
  return (async function* () {
    const tally = new RowTally();
    let bytesRead = 0;
    let told = 0;
    const now = (done: boolean): WholeCount => ({
      share: done ? 1 : Math.min(1, bytesRead / Math.max(1, source.bytes)),
      rows: tally.rows,
      setAside: tally.setAside,
      reasons: tally.reasons(SHOWN_REASONS),
      done,
    });
    for await (const batch of batches((bytes) => {
      bytesRead = bytes;
    }, known)) {
      for (const record of batch) {
        const parsed = parser.parse(record);
        tally.add(isReject(parsed) ? parsed : null);
      }
      if (bytesRead / Math.max(1, source.bytes) < told + TELL_SHARE) continue;
      told = bytesRead / Math.max(1, source.bytes);
      yield now(false);
    }
    yield now(true);
  })();
}
