"use client";

import { postJson } from "@/app/_ui/post-json.ts";
import { Note } from "@/app/_ui/said.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { DiscoveryLine, SiteCoverageView } from "@/lib/reads/coverage-view.ts";
import { Choice, Field, PostForm } from "../../post-form.tsx";
import { textOf } from "../../send-paper.ts";

/** What people entered as discovered. There is no field for a date: the moment of entering is the only one. */
export function Discoveries({ view }: { view: SiteCoverageView }) {
  const { siteId, timeZone } = view.site;
  const enter = async (form: FormData) => {
    const body = { siteId, what: textOf(form, "what"), reason: textOf(form, "reason"), by: textOf(form, "by") };
    const { discovered_on: on } = await postJson<{ discovered_on: string }>("/api/pages/coverage/discoveries", body);
    return `Entered as discovered on ${on}. The contracts' days count from then.`;
  };
  return (
    <section aria-label="Discoveries">
      <h2>Discovered</h2>
      {view.discoveries.length === 0 ? <p className="soft">Nothing is entered as discovered.</p> : null}
      {view.discoveries.map((d) => (
        <One key={d.discoveryId} discovery={d} siteId={siteId} zone={timeZone} />
      ))}
      <details>
        <summary>Enter a discovery</summary>
        <Note kind="danger">
          A discovery starts the contracts' clocks and can be held against you. It takes the day on which it is entered,
          cannot be dated back and is never deleted. Where you are unsure, ask a lawyer first, and do not wait with
          that.
        </Note>
        <PostForm name="Enter a discovery" button="Enter as discovered today" send={enter}>
          <Field label="What was discovered" name="what" required wide />
          <Field label="Reason: who saw or measured what" name="reason" required wide />
          <Field label="Full name of the person who says so" name="by" required />
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
    return "Stored.";
  };
  return (
    <article className="panel" data-discovery={d.ended ? d.ended.how : "open"}>
      <strong>{d.what}</strong>
      <p>
        Discovered on {d.on} (entered <When at={d.at} zone={zone} />) by {d.by}: {d.reason}
      </p>
      {d.completeness ? <p>Evidence for this claim: {Math.round(d.completeness.score * 100)} % by weight.</p> : null}
      {d.ended ? (
        <p className="soft">
          {d.ended.how === "withdrawn" ? "Withdrawn" : "Closed"} <When at={d.ended.at} zone={zone} /> by {d.ended.by}:{" "}
          {d.ended.reason}
        </p>
      ) : (
        <details>
          <summary>Withdraw or close it</summary>
          <PostForm name={`End ${d.what}`} button="Store" send={end}>
            <Choice
              label="How"
              name="how"
              options={[
                ["closed", "closed: the claim is done"],
                ["withdrawn", "withdrawn: it was none"],
              ]}
            />
            <Field label="Reason" name="reason" required />
            <Field label="Full name" name="by" required />
          </PostForm>
        </details>
      )}
    </article>
  );
}
