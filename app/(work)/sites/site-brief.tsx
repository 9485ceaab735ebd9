"use client";

import { useQuery } from "@tanstack/react-query";
import Link from "next/link";
import { decibanText } from "@/app/_ui/format.ts";
import { getJson } from "@/app/_ui/get-json.ts";
import { SITE_BRIEF } from "@/app/_words/sites.ts";
import type { SiteBrief as Brief, RankedSiteRow } from "@/lib/reads/ranked-sites-view.ts";

/** Under a row: the answer in a sentence, and the strongest evidence for and against. */
export function SiteBrief({ row }: { row: RankedSiteRow }) {
  const { data, error } = useQuery({
    queryKey: ["site-brief", row.siteId],
    queryFn: () => getJson<Brief>(`/api/pages/sites/${encodeURIComponent(row.siteId)}/brief`),
  });
  if (!data) return <p role={error ? "alert" : "status"}>{error ? error.message : SITE_BRIEF.reading}</p>;
  const { strongestFor, strongestAgainst, gaps } = data;
  return (
    <div className="brief">
      <p>
        <strong>{data.answer}</strong>
      </p>
      {data.why.map((why) => (
        <p key={why}>{why}</p>
      ))}
      <dl>
        <dt>{SITE_BRIEF.strongestForADefect}</dt>
        <dd>
          {strongestFor
            ? SITE_BRIEF.decibans(strongestFor.says, decibanText(strongestFor.decibans))
            : SITE_BRIEF.nothing}
        </dd>
        <dt>{SITE_BRIEF.strongestAgainst}</dt>
        <dd>
          {strongestAgainst
            ? SITE_BRIEF.decibans2(strongestAgainst.says, decibanText(strongestAgainst.decibans))
            : SITE_BRIEF.nothingThatIsNo}
        </dd>
      </dl>
      {row.hold ? <p className="note">{SITE_BRIEF.heldUntilBy(row.hold.until, row.hold.by, row.hold.reason)}</p> : null}
      <p>
        <Link className="button" href={`/sites/${encodeURIComponent(row.siteId)}`}>
          {SITE_BRIEF.openTheSite}
        </Link>{" "}
        <span className="soft">
          {gaps === 0 ? SITE_BRIEF.noGapIsKnown : SITE_BRIEF.inWhatIsKnown(gaps, gaps === 1 ? "gap" : "gaps")}
        </span>
      </p>
    </div>
  );
}
