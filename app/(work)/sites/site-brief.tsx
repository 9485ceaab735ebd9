"use client";

import { useQuery } from "@tanstack/react-query";
import Link from "next/link";
import { decibanText } from "@/app/_ui/format.ts";
import type { SiteBrief as Brief, RankedSiteRow } from "@/lib/reads/ranked-sites-view.ts";

/** Under a row: the answer in a sentence, and the strongest evidence for and against. */
export function SiteBrief({ row }: { row: RankedSiteRow }) {
  const { data, error } = useQuery({
    queryKey: ["site-brief", row.siteId],
    queryFn: async () => {
      const reply = await fetch(`/api/pages/sites/${encodeURIComponent(row.siteId)}/brief`);
      if (!reply.ok) throw new Error(`The reasons could not be read (${reply.status}).`);
      return (await reply.json()) as Brief;
    },
  });
  if (!data) return <p role={error ? "alert" : "status"}>{error ? error.message : "Reading …"}</p>;
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
        <dt>Strongest for a defect</dt>
        <dd>{strongestFor ? `${strongestFor.says} (+${decibanText(strongestFor.decibans)} decibans)` : "nothing"}</dd>
        <dt>Strongest against</dt>
        <dd>
          {strongestAgainst
            ? `${strongestAgainst.says} (${decibanText(strongestAgainst.decibans)} decibans)`
            : "nothing; that is no finding for it"}
        </dd>
      </dl>
      {row.hold ? (
        <p className="note">
          Held until {row.hold.until} by {row.hold.by}: {row.hold.reason}
        </p>
      ) : null}
      <p>
        <Link className="button" href={`/sites/${encodeURIComponent(row.siteId)}`}>
          Open the site
        </Link>{" "}
        <span className="soft">
          {gaps === 0
            ? "No gap is known; that is no clearance."
            : `${gaps} ${gaps === 1 ? "gap" : "gaps"} in what is known.`}
        </span>
      </p>
    </div>
  );
}
