"use client";

import { useQuery } from "@tanstack/react-query";
import { NAV } from "@/app/_words/shared.ts";
import { ALERT_BADGE } from "@/app/_words/ui.ts";

const LOOK_MS = 15_000;

async function fetchCount(): Promise<number> {
  const reply = await fetch("/api/pages/alerts/count");
  if (!reply.ok) throw new Error(ALERT_BADGE.theServerAnswered(reply.status));
  return ((await reply.json()) as { waiting: number }).waiting;
}

/** How many alerts nobody has; says when that is not known, because silence would read as none. */
export function AlertBadge() {
  const { data, isError } = useQuery({
    ...{ queryKey: ["alerts", "count"], queryFn: fetchCount },
    ...{ refetchInterval: LOOK_MS, retry: false },
  });
  if (isError)
    return (
      <span className="alert-badge unknown" title={NAV.alertsUnknown}>
        ?
      </span>
    );
  if (!data) return null;
  return (
    <span className="alert-badge">
      {data}
      <span className="visually-hidden"> {NAV.alertsWaiting}</span>
    </span>
  );
}
