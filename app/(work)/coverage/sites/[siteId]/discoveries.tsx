"use client";

import { postJson } from "@/app/_ui/post-json.ts";
import { Note } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import { DISCOVERIES } from "@/app/_words/coverage.ts";
import type { DiscoveryLine, SiteCoverageView } from "@/lib/reads/coverage-view.ts";
import { Choice, Field, PostForm } from "../../post-form.tsx";
import { textOf } from "../../send-paper.ts";

/** What people entered as discovered. There is no field for a date: the moment of entering is the only one. */
export function Discoveries({ view }: { view: SiteCoverageView }) {
  const { siteId, timeZone } = view.site;
  const enter = async (form: FormData) => {
    const body = { siteId, what: textOf(form, "what"), reason: textOf(form, "reason"), by: textOf(form, "by") };
    const { discovered_on: on } = await postJson<{ discovered_on: string }>("/api/pages/coverage/discoveries", body);
    return DISCOVERIES.enteredAsDiscoveredOn(on);
  };
  return (
    <section aria-label={DISCOVERIES.discoveries}>
      <h2>{DISCOVERIES.discovered}</h2>
      {view.discoveries.length === 0 ? <p className="soft">{DISCOVERIES.nothingIsEnteredAs}</p> : null}
      {view.discoveries.map((d) => (
        <One key={d.discoveryId} discovery={d} siteId={siteId} zone={timeZone} />
      ))}
      <details>
        <summary>{DISCOVERIES.enterADiscovery}</summary>
        <Note kind="danger">{DISCOVERIES.aDiscoveryStartsThe}</Note>
        <PostForm name="Enter a discovery" button={DISCOVERIES.enterAsDiscoveredToday} send={enter}>
          <Field label={DISCOVERIES.whatWasDiscovered} name="what" required wide />
          <Field label={DISCOVERIES.reasonWhoSawOr} name="reason" required wide />
          <Field label={DISCOVERIES.fullNameOfThe} name="by" required />
        </PostForm>
      </details>
    </section>
  );
}

function One({ discovery: d, siteId, zone }: { discovery: DiscoveryLine; siteId: string; zone: string }) {
  const end = async (form: FormData) => {
    const body = {
      siteId,
      discoveryId: d.discoveryId,
      how: textOf(form, "how"),
      reason: textOf(form, "reason"),
      by: textOf(form, "by"),
    };
    await postJson("/api/pages/coverage/discoveries/end", body);
    return DISCOVERIES.stored;
  };
  return (
    <article className="panel" data-discovery={d.ended ? d.ended.how : "open"}>
      <strong>{d.what}</strong>
      <p>
        {DISCOVERIES.discoveredOnEntered(d.on)} <When at={d.at} zone={zone} />
        {DISCOVERIES.by(d.by, d.reason)}
      </p>
      {d.completeness ? <p>{DISCOVERIES.evidenceForThisClaim(Math.round(d.completeness.score * 100))}</p> : null}
      {d.ended ? (
        <p className="soft">
          {d.ended.how === "withdrawn" ? DISCOVERIES.withdrawn : DISCOVERIES.closed}{" "}
          <When at={d.ended.at} zone={zone} /> {DISCOVERIES.by2(d.ended.by, d.ended.reason)}
        </p>
      ) : (
        <details>
          <summary>{DISCOVERIES.withdrawOrCloseIt}</summary>
          <PostForm name={`End ${d.what}`} button={DISCOVERIES.store} send={end}>
            <Choice
              label={DISCOVERIES.how}
              name="how"
              options={[
                ["closed", DISCOVERIES.closedTheClaimIs],
                ["withdrawn", DISCOVERIES.withdrawnItWasNone],
              ]}
            />
            <Field label={DISCOVERIES.reason} name="reason" required />
            <Field label={DISCOVERIES.fullName} name="by" required />
          </PostForm>
        </details>
      )}
    </article>
  );
}
