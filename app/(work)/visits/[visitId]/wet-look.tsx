"use client";

import { useMutation } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import type { FormEvent } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { IfMay } from "@/app/_ui/role.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import { MOMENT, Timed } from "@/app/_ui/timed.tsx";
import { WET_LOOK } from "@/app/_words/visit.ts";
import type { VisitView } from "@/lib/reads/visits-view.ts";
import { WET_LOOK_RULES } from "@/lib/visit/wet-look.ts";

/** Whether this visit may be made in the wet, for everybody; to allow it or end that, for those who may. */
export function WetLook({ view: { visit, wetLook } }: { view: Pick<VisitView, "visit" | "wetLook"> }) {
  if (visit.rank === null || visit.urgency === "make_safe") return null;
  return (
    <section aria-label={WET_LOOK.lookInTheWet}>
      {wetLook ? (
        <div className="note danger" role="status">
          <strong>{WET_LOOK.mayBeMadeIn}</strong>{" "}
          <Timed
            says={WET_LOOK.allowedBy(WET_LOOK_RULES, wetLook.allowedBy, MOMENT, wetLook.reason)}
            at={wetLook.allowedAt}
          />
          <p>{WET_LOOK.aboutHOnlyThese(wetLook.hoursOnSite)}</p>
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
      <summary>{allowed ? WET_LOOK.endThatThisVisit : WET_LOOK.allowALookAt}</summary>
      <p className="soft">{allowed ? WET_LOOK.plansThatWereMade : WET_LOOK.evidenceFromTheWet(WET_LOOK_RULES)}</p>
      <form className="filters" onSubmit={onSubmit}>
        {allowed ? null : (
          <label>
            {WET_LOOK.yourFullName}
            <input type="text" name="name" required minLength={3} maxLength={200} autoComplete="name" />
          </label>
        )}
        <label>
          {WET_LOOK.why}
          <input type="text" name="reason" required maxLength={1000} />
        </label>
        <button type="submit" className="button" disabled={change.isPending}>
          {allowed ? WET_LOOK.endIt : WET_LOOK.allowIt}
        </button>
      </form>
      <Trouble says={change.error?.message} />
    </details>
  );
}
