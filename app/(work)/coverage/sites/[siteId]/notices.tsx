"use client";

import { words } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import type { SiteCoverageView } from "@/lib/reads/coverage-view.ts";
import { Choice, Field, FileField, PostForm } from "../../post-form.tsx";
import { fileOf, PAPER_ACCEPT, sendPaper, textOf } from "../../send-paper.ts";

const KINDS = [
  ["notice", "notice"],
  ["proof_of_loss", "proof of loss"],
] as const;
const METHODS = [
  ["courier", "courier"],
  ["post", "post"],
  ["email", "e-mail"],
  ["portal", "carrier's portal"],
  ["by_hand", "by hand"],
] as const;

/** Notices that went out, each with its paper. */
export function Notices({ view }: { view: SiteCoverageView }) {
  const { siteId } = view.site;
  const open = view.discoveries.filter((d) => d.ended === null);
  const send = async (form: FormData) => {
    const file = fileOf(form, "file");
    if (!file) throw new Error("Choose the paper that was sent.");
    const coverageId = textOf(form, "coverageId");
    const kind = textOf(form, "kind");
    const documentId = await sendPaper(file, { siteId, coverageId, kind });
    await postJson("/api/pages/coverage/notices", {
      ...{ siteId, coverageId, discoveryId: textOf(form, "discoveryId"), kind, documentId },
      ...{ sentOn: textOf(form, "sentOn"), sentTo: textOf(form, "sentTo"), method: textOf(form, "method") },
    });
    return "Recorded with its paper.";
  };
  return (
    <section aria-label="Notices">
      <h2>Notices sent ({view.notices.length})</h2>
      <ul>
        {view.notices.map((n) => (
          <li key={n.noticeId}>
            {words(n.kind)} under {n.coverageId}, sent {n.sentOn} to {n.sentTo} by {words(n.method)}, recorded by{" "}
            {n.recordedBy}
          </li>
        ))}
      </ul>
      {open.length === 0 || view.contracts.length === 0 ? (
        <p className="soft">A notice belongs to a discovery and a contract; enter these first.</p>
      ) : (
        <details>
          <summary>Record a notice that was sent</summary>
          <PostForm name="Record a notice" button="Record as sent" send={send}>
            <Choice
              label="Contract"
              name="coverageId"
              options={view.contracts.map((c) => [c.coverageId, `${c.coverageId}, ${words(c.kind)}`] as const)}
            />
            <Choice
              label="Discovery"
              name="discoveryId"
              options={open.map((d) => [d.discoveryId, `${d.on}: ${d.what}`.slice(0, 80)] as const)}
            />
            <Choice label="What" name="kind" options={KINDS} />
            <Field label="Sent on" name="sentOn" type="date" value={view.today} required />
            <Field label="Sent to" name="sentTo" required />
            <Choice label="By way of" name="method" options={METHODS} />
            <FileField
              label="The paper that was sent (PDF or picture, at most 15 MB)"
              name="file"
              accept={PAPER_ACCEPT}
              required
            />
          </PostForm>
        </details>
      )}
    </section>
  );
}
