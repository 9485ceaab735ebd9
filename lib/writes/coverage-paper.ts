import "server-only";
import { createHash, randomUUID } from "node:crypto";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { PAPER_KINDS } from "../store/coverage-rows.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { pictureType } from "../visit/picture.ts";

/** A contract with its annexes as scanned; more than this is taken page by page. */
export const MOST_PAPER_MB = 15;

export const PaperQuery = z.object({
  site_id: z.string().min(1).max(300),
  coverage_id: z.string().min(1).max(300).optional(),
  kind: z.enum(PAPER_KINDS),
  file_name: z.string().min(1).max(300),
  page: z.coerce.number().int().min(1).max(100_000).optional(),
  note: z.string().trim().max(2000).optional(),
});

/** What a file is by its first bytes; its name and its declared type prove nothing. Null: nothing that we keep. */
export function paperType(bytes: Uint8Array): string | null {
  const ascii = String.fromCharCode(...bytes.subarray(0, 5));
  if (ascii === "%PDF-") return "application/pdf";
  return pictureType(bytes);
}

/** A name that every file system takes, without any folder in it. */
export function safeFileName(name: string): string {
  const last = name.normalize("NFC").split(/[\\/]/).at(-1) ?? "";
  const plain = last
    .replace(/[\p{Cc}<>:"|?*]/gu, "_")
    .replace(/^\.+/, "")
    .trim();
  return plain === "" ? "paper" : [...plain].slice(0, 150).join("");
}

/**
 * Keep a paper of a site: a contract, a notice, a licence.
 * @throws AppError `too_large`, `wrong_use` for what is neither PDF nor picture, `not_found`
 */
export async function keepPaper(
  actor: Actor,
  query: z.infer<typeof PaperQuery>,
  request: Request,
): Promise<{ document_id: string; sha256: string }> {
  authorise(actor, "coverage.write");
  const content = await readLimited(request, MOST_PAPER_MB);
  const type = paperType(content);
  if (!type)
    throw new AppError("wrong_use", {
      message: "This file is neither a PDF nor a JPEG, PNG or WebP picture. Scan or print it to PDF and attach that.",
    });
  const id = randomUUID();
  const sha256 = createHash("sha256").update(content).digest("hex");
  const name = safeFileName(query.file_name);
  await writeTransaction(actor, async (tx) => {
    await checkContract(tx, query.site_id, query.coverage_id ?? null);
    await tx`INSERT INTO coverage_document
        (account_id, site_id, document_id, coverage_id, kind, file_name, media_type, bytes, sha256, page, note, added_by, content)
      VALUES (current_account(), ${query.site_id}, ${id}, ${query.coverage_id ?? null}, ${query.kind}, ${name}, ${type},
        ${content.length}, ${sha256}, ${query.page ?? null}, ${query.note || null}, ${actor.person}, ${Buffer.from(content)})`;
    const detail = { documentId: id, coverageId: query.coverage_id ?? null, kind: query.kind, name, sha256 };
    return { result: null, note: { action: "coverage.paper", subject: query.site_id, detail } };
  });
  return { document_id: id, sha256 };
}

/** @throws AppError `not_found` for an unknown site, or a contract that is not the site's */
export async function checkContract(tx: Sql, siteId: string, coverageId: string | null): Promise<void> {
  const site = await tx`SELECT 1 FROM site WHERE account_id = current_account() AND site_id = ${siteId}`;
  if (site.length === 0) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
  if (coverageId === null) return;
  const contract = await tx`SELECT 1 FROM coverage
    WHERE account_id = current_account() AND site_id = ${siteId} AND coverage_id = ${coverageId}`;
  if (contract.length === 0)
    throw new AppError("not_found", { message: `Site "${siteId}" has no contract "${coverageId}".` });
}

async function readLimited(request: Request, mostMb: number): Promise<Uint8Array> {
  const most = mostMb * 1_000_000;
  const tooLarge = (size: number) =>
    new AppError("too_large", {
      message: `The file has ${Math.round(size / 1e6)} MB or more; at most ${mostMb} MB are taken. Attach the pages that matter.`,
    });
  const said = Number(request.headers.get("content-length") ?? 0);
  if (said > most) throw tooLarge(said);
  const chunks: Uint8Array[] = [];
  let size = 0;
  if (request.body)
    for await (const chunk of request.body as unknown as AsyncIterable<Uint8Array>) {
      size += chunk.length;
      if (size > most) throw tooLarge(size);
      chunks.push(chunk);
    }
  if (size === 0) throw new AppError("wrong_use", { message: "The request holds no file." });
  return Buffer.concat(chunks);
}
