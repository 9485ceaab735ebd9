"use client";

import Link from "next/link";
import { useRouter } from "next/navigation";
import type { KeyboardEvent } from "react";
import { probability, ratio, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Probability } from "@/app/_ui/probability.tsx";
import { RainStrip } from "@/app/_ui/rain-strip.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { OpenMakeSafe } from "@/lib/reads/make-safe-view.ts";
import type { RankedSitesQuery } from "@/lib/reads/ranked-sites-query.ts";
import { NATURAL_ORDER, type RankedSiteRow } from "@/lib/reads/ranked-sites-view.ts";

type Sort = RankedSitesQuery["sort"];
const DRIVER_WORDS: Record<string, string> = {
  none: "not with weather",
  rain: "with rain",
  dew: "with dew",
  any_wet: "when wet",
  hot: "when hot",
  thunder: "with thunder",
  wind: "with wind",
  not_enough_data: "not enough data to tell",
  weather_unknown: "weather unknown",
};

interface Props {
  rows: RankedSiteRow[];
  /** Emergencies under way. */
  open: readonly OpenMakeSafe[];
  query: RankedSitesQuery;
  go: (next: Partial<RankedSitesQuery>) => void;
}

/** Move the focus between rows with j and k or the arrows; Enter follows the row's link by itself. */
function moveFocus(event: KeyboardEvent<HTMLTableSectionElement>) {
  const step =
    event.key === "j" || event.key === "ArrowDown" ? 1 : event.key === "k" || event.key === "ArrowUp" ? -1 : 0;
  if (step === 0) return;
  const links = [...event.currentTarget.querySelectorAll<HTMLAnchorElement>("a[data-site]")];
  const at = links.indexOf(document.activeElement as HTMLAnchorElement);
  event.preventDefault();
  links[Math.min(links.length - 1, Math.max(0, at + step))]?.focus();
}

export function SitesTable({ rows, open, query, go }: Props) {
  const router = useRouter();
  const isolated = new Map(open.map((one) => [one.siteId, one.isolatedSince]));
  if (rows.length === 0) return <p className="empty">No site matches. Clear a filter to see more.</p>;
  return (
    <Wide label="Ranked sites">
      <table className="ranked">
        <thead>
          <tr>
            <SortHead name="rank" label="Rank" query={query} go={go} numeric />
            <th scope="col">Urgency</th>
            <SortHead name="name" label="Site" query={query} go={go} />
            <SortHead name="probability" label="Bonding defect" query={query} go={go} />
            <th scope="col">Leading cause</th>
            <SortHead name="rate_ratio" label="Wet : dry" query={query} go={go} />
            <th scope="col">Rain above, ground faults below, 12 months</th>
            <SortHead name="inspected" label="Last inspected" query={query} go={go} />
          </tr>
        </thead>
        <tbody onKeyDown={moveFocus}>
          {rows.map((row) => (
            <SiteRow
              key={row.siteId}
              row={row}
              isolatedSince={isolated.get(row.siteId)}
              open={() => router.push(`/sites/${encodeURIComponent(row.siteId)}`)}
            />
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function SortHead({
  name,
  label,
  query,
  go,
  numeric,
}: {
  name: Sort;
  label: string;
  query: RankedSitesQuery;
  go: Props["go"];
  numeric?: boolean;
}) {
  const active = query.sort === name;
  const order = active ? query.order || NATURAL_ORDER[name] : null;
  const next =
    active && order === NATURAL_ORDER[name] ? (NATURAL_ORDER[name] === "asc" ? "desc" : "asc") : NATURAL_ORDER[name];
  return (
    <th
      scope="col"
      className={numeric ? "num" : undefined}
      aria-sort={order === null ? undefined : order === "asc" ? "ascending" : "descending"}
    >
      <button type="button" onClick={() => go({ sort: name, order: next === NATURAL_ORDER[name] ? "" : next })}>
        {label}
        <span aria-hidden="true">{order === "asc" ? " ↑" : order === "desc" ? " ↓" : ""}</span>
      </button>
    </th>
  );
}

function SiteRow({
  row,
  isolatedSince,
  open,
}: {
  row: RankedSiteRow;
  isolatedSince: string | null | undefined;
  open: () => void;
}) {
  const href = `/sites/${encodeURIComponent(row.siteId)}`;
  return (
    <tr data-row={row.siteId} onClick={(event) => (event.target as HTMLElement).closest("a") ?? open()}>
      <td className="num" data-label="Rank">
        {row.rank ?? "–"}
      </td>
      <td>
        <Urgency value={row.urgency} />
      </td>
      <td className="site">
        <Link href={href} data-site={row.siteId}>
          {row.name}
        </Link>
        <br />
        <span className="soft">
          {row.siteId} · {row.portfolio}
        </span>
        {isolatedSince ? <br /> : null}
        <Isolated since={isolatedSince} />
      </td>
      <td>
        <Probability value={row.bonding} />
      </td>
      <td data-label="Leading cause:">
        {words(row.leadingCause)} <span className="soft">{probability(row.leadingP)}</span>
      </td>
      <td data-label="Wet : dry">
        {ratio(row.rateRatio)} <span className="soft">{DRIVER_WORDS[row.driver]}</span>
        <br />
        <span className="soft">
          {row.wetEpisodes} wet, {row.dryEpisodes} dry
        </span>
      </td>
      <td className="strip">
        <RainStrip strip={row.strip} />
      </td>
      <td data-label="Last inspected:">{row.lastInspected ?? <em className="soft">never inspected</em>}</td>
    </tr>
  );
}
