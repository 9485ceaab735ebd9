"use client";

import { useMutation } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import type { FormEvent } from "react";
import { utcTime } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { IfMay } from "@/app/_ui/role.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import type { VisitView } from "@/lib/reads/visits-view.ts";
import { WET_LOOK_RULES } from "@/lib/visit/wet-look.ts";

/** Whether this visit may be made in the wet, for everybody; to allow it or end that, for those who may. */
export function WetLook({ view: { visit, wetLook } }: { view: Pick<VisitView, "visit" | "wetLook"> }) {
  if (visit.rank === null || visit.urgency === "make_safe") return null;
  return (
    <section aria-label="Look in the wet">
      {wetLook ? (
        <div className="note danger" role="status">
          <strong>May be made in the wet, as a look only.</strong> {WET_LOOK_RULES} Allowed by {wetLook.allowedBy},{" "}
          {utcTime(wetLook.allowedAt)}: {wetLook.reason}
          <p>
            About {wetLook.hoursOnSite} h. Only these lines; all others stay open for a visit in the dry, with its
            measurements first:
          </p>
          <ul>
            {[...new Set(wetLook.lines)].map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </div>
      ) : null}
      <IfMay operation="wet_look.allow">
        <WetLookForm visitId={visit.visit_id} allowed={wetLook !== null} />
      </IfMay>
    </section>
  );
}

function WetLookForm({ visitId, allowed }: { visitId: string; allowed: boolean }) {
  const router = useRouter();
  const change = useMutation({
    mutationFn: (body: unknown) => postJson(`/api/pages/visits/${encodeURIComponent(visitId)}/wet-look`, body),
    onSuccess: () => router.refresh(),
  });
  const onSubmit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    const reason = String(form.get("reason"));
    change.mutate(allowed ? { act: "end", reason } : { act: "allow", name: String(form.get("name")), reason });
  };
  return (
    <details className="no-print">
      <summary>
        {allowed ? "End that this visit may be made in the wet" : "Allow a look at ground level in the wet"}
      </summary>
      <p className="soft">
        {allowed
          ? "Plans that were made with it say that they have to be made anew."
          : `Evidence from the wet comes from remote readings first, and by default nobody is sent to wet metal. ${WET_LOOK_RULES} Your name and reason are kept with the visit and in the audit log.`}
      </p>
      <form className="filters" onSubmit={onSubmit}>
        {allowed ? null : (
          <label>
            Your full name
            <input type="text" name="name" required minLength={3} maxLength={200} autoComplete="name" />
          </label>
        )}
        <label>
          Why
          <input type="text" name="reason" required maxLength={1000} />
        </label>
        <button type="submit" className="button" disabled={change.isPending}>
          {allowed ? "End it" : "Allow it"}
        </button>
      </form>
      <Trouble says={change.error?.message} />
    </details>
  );
}
