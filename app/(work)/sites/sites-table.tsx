"use client";

import Link from "next/link";
import { type KeyboardEvent, memo } from "react";
import { ratio, words } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Probability } from "@/app/_ui/probability.tsx";
import { RainStrip } from "@/app/_ui/rain-strip.tsx";
import { useMay } from "@/app/_ui/role.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { useDrawn } from "@/app/_ui/use-drawn.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import { SITES_TABLE } from "@/app/_words/sites.ts";
import { unpackStrip } from "@/lib/core/packed-strip.ts";
import type { OpenMakeSafe } from "@/lib/reads/make-safe-view.ts";
import type { RankedSitesQuery } from "@/lib/reads/ranked-sites-query.ts";
import { NATURAL_ORDER, type RankedSiteRow, type SiteColumn } from "@/lib/reads/ranked-sites-view.ts";
import { COLUMN_WORDS } from "./list-setting.tsx";
import { SiteBrief } from "./site-brief.tsx";

type Sort = RankedSitesQuery["sort"];
const DRIVER_WORDS: Record<string, string> = {
  none: SITES_TABLE.notWithWeather,
  rain: SITES_TABLE.withRain,
  dew: SITES_TABLE.withDew,
  any_wet: SITES_TABLE.whenWet,
  hot: SITES_TABLE.whenHot,
  thunder: SITES_TABLE.withThunder,
  wind: SITES_TABLE.withWind,
  not_enough_data: SITES_TABLE.notEnoughDataTo,
  weather_unknown: SITES_TABLE.weatherUnknown,
};
const SORTS: Partial<Record<SiteColumn, Sort>> = {
  bonding: "probability",
  energized: "energized",
  wet_dry: "rate_ratio",
  inspected: "inspected",
};

/**
 * Rows that the server draws: more than a screen shows of them. The others are drawn by the browser from the same data as soon as
 * it has the script; each costs the server as much as the rest of the page's frame together.
 */
const ROWS_AT_FIRST = 12;

interface Props {
  rows: RankedSiteRow[];
  /** Emergencies under way. */
  open: readonly OpenMakeSafe[];
  query: RankedSitesQuery;
  go: (next: Partial<RankedSitesQuery>) => void;
  columns: readonly SiteColumn[];
  opened: string | null;
  onOpen: (siteId: string) => void;
  chosen: ReadonlySet<string>;
  onChoose: (siteIds: readonly string[], on: boolean) => void;
}

/** The arrows move between rows, Enter opens the row in place, the space bar chooses it. */
function onKeys(event: KeyboardEvent<HTMLTableSectionElement>, { chosen, onChoose }: Props, mayChoose: boolean) {
  const buttons = [...event.currentTarget.querySelectorAll<HTMLButtonElement>("button[data-site]")];
  const row = (document.activeElement as HTMLElement | null)?.closest("tr[data-row]");
  const at = buttons.findIndex((button) => button.closest("tr") === row);
  if (event.key === " " && document.activeElement === buttons[at]) {
    const siteId = buttons[at]?.dataset.site;
    event.preventDefault();
    if (siteId && mayChoose) onChoose([siteId], !chosen.has(siteId));
    return;
  }
  const step = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
  if (step === 0) return;
  event.preventDefault();
  buttons[Math.min(buttons.length - 1, Math.max(0, at + step))]?.focus();
}

export function SitesTable(props: Props) {
  const { rows, open, query, go, columns, opened, onOpen, chosen, onChoose } = props;
  const mayChoose = useMay("plan.write");
  const isDrawn = useDrawn();
  const isolated = new Map(open.map((one) => [one.siteId, one.isolatedSince]));
  if (rows.length === 0) return <p className="empty">{SITES_TABLE.noSiteMatchesClear}</p>;
  const ids = rows.map((row) => row.siteId);
  const drawn = isDrawn ? rows : rows.slice(0, ROWS_AT_FIRST);
  const all = ids.every((id) => chosen.has(id));
  return (
    <Wide label={SITES_TABLE.rankedSites}>
      <table className="ranked cards">
        <thead>
          <tr>
            {mayChoose ? (
              <th scope="col">
                <input
                  type="checkbox"
                  aria-label={SITES_TABLE.chooseAllSitesOf}
                  checked={all}
                  onChange={() => onChoose(ids, !all)}
                />
              </th>
            ) : null}
            <SortHead name="rank" label={SITES_TABLE.rank} query={query} go={go} numeric />
            {columns.includes("urgency") ? <th scope="col">{SITES_TABLE.urgency}</th> : null}
            <SortHead name="name" label={SITES_TABLE.site} query={query} go={go} />
            {columns
              .filter((column) => column !== "urgency")
              .map((column) => {
                const sort = SORTS[column];
                return sort ? (
                  <SortHead key={column} name={sort} label={COLUMN_WORDS[column]} query={query} go={go} />
                ) : (
                  <th key={column} scope="col">
                    {COLUMN_WORDS[column]}
                  </th>
                );
              })}
          </tr>
        </thead>
        <tbody onKeyDown={(event) => onKeys(event, props, mayChoose)}>
          {drawn.map((row) => (
            <SiteRow
              key={row.siteId}
              row={row}
              columns={columns}
              isolatedSince={isolated.get(row.siteId)}
              isOpen={opened === row.siteId}
              onOpen={() => onOpen(row.siteId)}
              choose={mayChoose ? { on: chosen.has(row.siteId), set: (on) => onChoose([row.siteId], on) } : null}
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

interface RowProps {
  row: RankedSiteRow;
  columns: readonly SiteColumn[];
  isolatedSince: string | null | undefined;
  isOpen: boolean;
  onOpen: () => void;
  choose: { on: boolean; set: (on: boolean) => void } | null;
}

function SiteRow({ row, columns, isolatedSince, isOpen, onOpen, choose }: RowProps) {
  const href = `/sites/${encodeURIComponent(row.siteId)}`;
  return (
    <>
      <tr
        data-row={row.siteId}
        className={choose?.on ? "chosen" : undefined}
        onClick={(event) => (event.target as HTMLElement).closest("a, button, input") ?? onOpen()}
      >
        {choose ? (
          <td>
            <input
              type="checkbox"
              aria-label={SITES_TABLE.choose(row.name)}
              checked={choose.on}
              onChange={(event) => choose.set(event.target.checked)}
            />
          </td>
        ) : null}
        <td className="num" data-label="Rank">
          <button
            type="button"
            className="opener"
            data-site={row.siteId}
            aria-expanded={isOpen}
            aria-keyshortcuts="Enter Space"
            aria-label={SITES_TABLE.rankReasonsOf(row.rank ?? "none", row.name)}
            onClick={onOpen}
          >
            <span aria-hidden="true">{isOpen ? "▾" : "▸"}</span> {row.rank ?? "–"}
          </button>
        </td>
        {columns.includes("urgency") ? (
          <td>
            <Urgency value={row.urgency} />
          </td>
        ) : null}
        <td className="site">
          <Link href={href}>{row.name}</Link>
          <br />
          <span className="soft">
            {row.siteId} · {row.portfolio}
          </span>
          {row.hold ? (
            <>
              <br />
              <span className="soft">{SITES_TABLE.heldUntil(row.hold.until)}</span>
            </>
          ) : null}
          {isolatedSince ? <br /> : null}
          <Isolated since={isolatedSince} />
        </td>
        {columns
          .filter((column) => column !== "urgency")
          .map((column) => (
            <SiteCell key={column} row={row} column={column} />
          ))}
      </tr>
      {isOpen ? (
        <tr className="opened">
          <td colSpan={columns.length + 3}>
            <SiteBrief row={row} />
          </td>
        </tr>
      ) : null}
    </>
  );
}

/** Unpacked and drawn anew only when it is another strip. */
const RowStrip = memo(({ packed }: { packed: string }) => <RainStrip strip={unpackStrip(packed)} />);

function SiteCell({ row, column }: { row: RankedSiteRow; column: SiteColumn }) {
  if (column === "bonding")
    return (
      <td>
        <Probability value={row.bonding} />
      </td>
    );
  if (column === "energized")
    return (
      <td data-label="Metal energised">
        <Probability value={row.energized} />
      </td>
    );
  if (column === "cause") return <td data-label="Leading cause:">{words(row.leadingCause)}</td>;
  if (column === "wet_dry")
    return (
      <td data-label="Wet : dry">
        {ratio(row.rateRatio)} <span className="soft">{DRIVER_WORDS[row.driver]}</span>
        <br />
        <span className="soft">{SITES_TABLE.wetDry(row.wetEpisodes, row.dryEpisodes)}</span>
      </td>
    );
  if (column === "strip")
    return (
      <td className="strip">
        <RowStrip packed={row.strip} />
      </td>
    );
  if (column === "portfolio") return <td data-label="Portfolio:">{row.portfolio}</td>;
  return (
    <td data-label="Last inspected:">{row.lastInspected ?? <em className="soft">{SITES_TABLE.neverInspected}</em>}</td>
  );
}
