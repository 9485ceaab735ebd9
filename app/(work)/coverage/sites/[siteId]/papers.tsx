"use client";

import { words } from "@/app/_ui/format.ts";
import { When } from "@/app/_ui/when.tsx";
import { PAPERS } from "@/app/_words/coverage.ts";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";
import { paperHref } from "../../contract-table.tsx";
import { Choice, Field, FileField, PostForm } from "../../post-form.tsx";
import { fileOf, PAPER_ACCEPT, sendPaper, textOf } from "../../send-paper.ts";

const KINDS = [
  ["contract", "contract"],
  ["installer_licence", "installer's licence"],
  ["calibration", PAPERS.calibrationCertificate],
  ["other", "other"],
] as const;

/** Papers of the site: contracts with the page of their terms, licences, certificates. */
export function Papers({ view }: { view: SiteCoverageView }) {
  const { siteId } = view.site;
  const send = async (form: FormData) => {
    const file = fileOf(form, "file");
    if (!file) throw new Error(PAPERS.chooseAFile);
    const coverageId = textOf(form, "coverageId") || null;
    await sendPaper(file, {
      siteId,
      coverageId,
      kind: textOf(form, "kind"),
      page: textOf(form, "page"),
      note: textOf(form, "note"),
    });
    return PAPERS.attached;
  };
  return (
    <section aria-label={PAPERS.papers}>
      <h2>{PAPERS.papers2(view.papers.length)}</h2>
      <ul>
        {view.papers.map((p) => (
          <li key={p.documentId}>
            <a href={paperHref(siteId, p)} download>
              {p.fileName}
            </a>
            {p.page === null ? "" : PAPERS.page(p.page)}{" "}
            <span className="soft">
              {PAPERS.kb(
                words(p.kind),
                p.coverageId ? PAPERS.of(p.coverageId) : "",
                Math.ceil(p.bytes / 1000).toLocaleString("en-US"),
              )}{" "}
              <When at={p.addedAt} /> {PAPERS.by(p.addedBy, p.note ? `: ${p.note}` : "")}
            </span>
          </li>
        ))}
      </ul>
      <details>
        <summary>{PAPERS.attachAPaper}</summary>
        <PostForm name="Attach a paper" button={PAPERS.attach} send={send}>
          <Choice label={PAPERS.kind} name="kind" options={KINDS} />
          <Choice
            label={PAPERS.contract}
            name="coverageId"
            options={[["", PAPERS.theSiteAsA], ...view.contracts.map((c) => [c.coverageId, c.coverageId] as const)]}
          />
          <Field label={PAPERS.pageOfTheTerms} name="page" type="number" min={1} />
          <Field label={PAPERS.note} name="note" />
          <FileField label={PAPERS.filePdfOrPicture} name="file" accept={PAPER_ACCEPT} required />
        </PostForm>
      </details>
    </section>
  );
}
