"use client";

import { words } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { NOTICES } from "@/app/_words/coverage.ts";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";
import { Choice, Field, FileField, PostForm } from "../../post-form.tsx";
import { fileOf, PAPER_ACCEPT, sendPaper, textOf } from "../../send-paper.ts";

const KINDS = [
  ["notice", "notice"],
  ["proof_of_loss", NOTICES.proofOfLoss],
] as const;
const METHODS = [
  ["courier", "courier"],
  ["post", "post"],
  ["email", "e-mail"],
  ["portal", "carrier's portal"],
  ["by_hand", NOTICES.byHand],
] as const;

/** Notices that went out, each with its paper. */
export function Notices({ view }: { view: SiteCoverageView }) {
  const { siteId } = view.site;
  const open = view.discoveries.filter((d) => d.ended === null);
  const send = async (form: FormData) => {
    const file = fileOf(form, "file");
    if (!file) throw new Error(NOTICES.chooseThePaperThat);
    const coverageId = textOf(form, "coverageId");
    const kind = textOf(form, "kind");
    const documentId = await sendPaper(file, { siteId, coverageId, kind });
    await postJson("/api/pages/coverage/notices", {
      ...{ siteId, coverageId, discoveryId: textOf(form, "discoveryId"), kind, documentId },
      ...{ sentOn: textOf(form, "sentOn"), sentTo: textOf(form, "sentTo"), method: textOf(form, "method") },
    });
    return NOTICES.recordedWithItsPaper;
  };
  return (
    <section aria-label={NOTICES.notices}>
      <h2>{NOTICES.noticesSent(view.notices.length)}</h2>
      <ul>
        {view.notices.map((n) => (
          <li key={n.noticeId}>
            {NOTICES.underSentToBy(words(n.kind), n.coverageId, n.sentOn, n.sentTo, words(n.method), n.recordedBy)}
          </li>
        ))}
      </ul>
      {open.length === 0 || view.contracts.length === 0 ? (
        <p className="soft">{NOTICES.aNoticeBelongsTo}</p>
      ) : (
        <details>
          <summary>{NOTICES.recordANoticeThat}</summary>
          <PostForm name="Record a notice" button={NOTICES.recordAsSent} send={send}>
            <Choice
              label={NOTICES.contract}
              name="coverageId"
              options={view.contracts.map((c) => [c.coverageId, `${c.coverageId}, ${words(c.kind)}`] as const)}
            />
            <Choice
              label={NOTICES.discovery}
              name="discoveryId"
              options={open.map((d) => [d.discoveryId, `${d.on}: ${d.what}`.slice(0, 80)] as const)}
            />
            <Choice label={NOTICES.what} name="kind" options={KINDS} />
            <Field label={NOTICES.sentOn} name="sentOn" type="date" value={view.today} required />
            <Field label={NOTICES.sentTo} name="sentTo" required />
            <Choice label={NOTICES.byWayOf} name="method" options={METHODS} />
            <FileField label={NOTICES.thePaperThatWas} name="file" accept={PAPER_ACCEPT} required />
          </PostForm>
        </details>
      )}
    </section>
  );
}
