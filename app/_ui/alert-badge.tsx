"use client";

import { useQuery } from "@tanstack/react-query";
import { NAV } from "@/app/_words/shared.ts";
import { getJson } from "./get-json.ts";

const LOOK_MS = 15_000;

const fetchCount = async () => (await getJson<{ waiting: number }>("/api/pages/alerts/count")).waiting;

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
