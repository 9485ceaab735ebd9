"use client";

import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { WORTH } from "@/app/_words/worth.ts";
import type { WorthView } from "@/lib/reads/worth-view.ts";
import { getJson } from "./get-json.ts";
import { useMay } from "./role.tsx";
import { Trouble } from "./said.tsx";
import { WorthTable } from "./worth-table.tsx";

/** What a visit of a site is worth, to open; read when it is. For those who plan. */
export function Worth({ siteId, siteName }: { siteId: string; siteName: string }) {
  const [open, setOpen] = useState(false);
  const mayPlan = useMay("plan.read");
  const { data, error } = useQuery({
    queryKey: ["worth", siteId],
    queryFn: ({ signal }) => getJson<WorthView>(`/api/pages/sites/${encodeURIComponent(siteId)}/worth`, signal),
    enabled: open && mayPlan,
    staleTime: 60_000,
  });
  if (!mayPlan) return null;
  return (
    <details className="worth-fold no-print" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        {WORTH.fold}
        <span className="visually-hidden">{WORTH.ofSite(siteName)}</span>
      </summary>
      <Trouble says={error?.message} />
      {data ? <WorthTable terms={data.terms} currency={data.currency} wouldChange={data.wouldChange} /> : null}
      {open && !data && !error ? <p className="soft">{WORTH.reading}</p> : null}
    </details>
  );
}
