"use client";

import { words } from "@/app/_ui/format.ts";
import { When } from "@/app/_ui/when.tsx";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";
import { paperHref } from "../../contract-table.tsx";
import { Choice, Field, FileField, PostForm } from "../../post-form.tsx";
import { fileOf, PAPER_ACCEPT, sendPaper, textOf } from "../../send-paper.ts";

const KINDS = [
  ["contract", "contract"],
  ["installer_licence", "installer's licence"],
  ["calibration", "calibration certificate"],
  ["other", "other"],
] as const;

/** Papers of the site: contracts with the page of their terms, licences, certificates. */
export function Papers({ view }: { view: SiteCoverageView }) {
  const { siteId } = view.site;
  const send = async (form: FormData) => {
    const file = fileOf(form, "file");
    if (!file) throw new Error("Choose a file.");
    const coverageId = textOf(form, "coverageId") || null;
    await sendPaper(file, {
      siteId,
      coverageId,
      kind: textOf(form, "kind"),
      page: textOf(form, "page"),
      note: textOf(form, "note"),
    });
    return "Attached.";
  };
  return (
    <section aria-label="Papers">
      <h2>Papers ({view.papers.length})</h2>
      <ul>
        {view.papers.map((p) => (
          <li key={p.documentId}>
            <a href={paperHref(siteId, p)} download>
              {p.fileName}
            </a>
            {p.page === null ? "" : `, page ${p.page}`}{" "}
            <span className="soft">
              {words(p.kind)}
              {p.coverageId ? ` of ${p.coverageId}` : ""}, {Math.ceil(p.bytes / 1000).toLocaleString("en-US")} kB,{" "}
              <When at={p.addedAt} /> by {p.addedBy}
              {p.note ? `: ${p.note}` : ""}
            </span>
          </li>
        ))}
      </ul>
      <details>
        <summary>Attach a paper</summary>
        <PostForm name="Attach a paper" button="Attach" send={send}>
          <Choice label="Kind" name="kind" options={KINDS} />
          <Choice
            label="Contract"
            name="coverageId"
            options={[["", "the site as a whole"], ...view.contracts.map((c) => [c.coverageId, c.coverageId] as const)]}
          />
          <Field label="Page of the terms" name="page" type="number" min={1} />
          <Field label="Note" name="note" />
          <FileField label="File (PDF or picture, at most 15 MB)" name="file" accept={PAPER_ACCEPT} required />
        </PostForm>
      </details>
    </section>
  );
}
