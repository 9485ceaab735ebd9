"use client";
import { SEND_PAPER } from "@/app/_words/coverage.ts";

export const PAPER_ACCEPT = "application/pdf,image/jpeg,image/png,image/webp";
export const PICTURE_ACCEPT = "image/jpeg,image/png,image/webp";

interface PaperToSend {
  siteId: string;
  coverageId: string | null;
  kind: string;
  page?: string;
  note?: string;
}

/**
 * Attach a file to a site.
 * @returns its id
 * @throws Error with the server's own sentence
 */
export async function sendPaper(file: File, { siteId, coverageId, kind, page, note }: PaperToSend): Promise<string> {
  const query = new URLSearchParams({ site_id: siteId, kind, file_name: file.name });
  if (coverageId) query.set("coverage_id", coverageId);
  if (page) query.set("page", page);
  if (note) query.set("note", note);
  const reply = await fetch(`/api/pages/coverage/papers?${query}`, { method: "POST", body: file });
  const said = (await reply.json().catch(() => null)) as { document_id?: string; error?: { message?: string } } | null;
  if (!reply.ok || !said?.document_id)
    throw new Error(said?.error?.message ?? SEND_PAPER.theServerAnswered(reply.status));
  return said.document_id;
}

/** The file of a form's field; null: none was chosen. */
export function fileOf(form: FormData, name: string): File | null {
  const file = form.get(name);
  return file instanceof File && file.size > 0 ? file : null;
}

export const textOf = (form: FormData, name: string): string => String(form.get(name) ?? "").trim();
