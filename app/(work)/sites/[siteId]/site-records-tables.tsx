import Link from "next/link";
import type { ReactNode } from "react";
import { orUnknown, timeInZone, words } from "@/app/_ui/format.ts";
import { SentPicture } from "@/app/_ui/sent-picture.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { SiteView } from "@/lib/reads/site-view.ts";
import { placeOfItem } from "@/lib/visit/written-items.ts";

/** The records behind the score, as they were imported. */
export function SiteRecordsTables({ view }: { view: SiteView }) {
  const zone = view.site.timeZone;
  return (
    <>
      <h2>Records</h2>
      <p className="soft">Times in {zone}.</p>
      <Block title={`Inspections (${view.inspections.length})`} empty="Never inspected: a gap, not a pass." open>
        {view.inspections.length > 0 ? <Inspections view={view} /> : null}
      </Block>
      <Block title={`Photos (${view.photos.length})`} empty="No photo of a visit.">
        {view.photos.length > 0 ? (
          <ul className="photos">
            {view.photos.map((photo) => (
              <SentPicture key={photo.photoId} photo={photo} label={photoLabel(photo.item)} />
            ))}
          </ul>
        ) : null}
      </Block>
      <Block title={`Repairs (${view.repairs.length})`} empty="No repair on record.">
        {view.repairs.length > 0 ? (
          <Rows
            head={["Day", "Cause", "Section", "Inverter", "Action", "Confirmed", "Tested after"]}
            rows={view.repairs.map((r) => [
              r.repairedAt.day,
              words(r.cause),
              orUnknown(r.sectionId),
              orUnknown(r.inverterId),
              orUnknown(r.action),
              orUnknown(r.confirmed),
              orUnknown(r.testedAfter),
            ])}
          />
        ) : null}
      </Block>
      <Block
        title={`Ground-fault episodes (${view.episodesTotal}${view.episodesTotal > view.episodes.length ? `, newest ${view.episodes.length} shown` : ""})`}
        empty="No ground-fault episode in the log."
      >
        {view.episodes.length > 0 ? (
          <Rows
            head={["Onset", "End", "Inverters", "Rows", "Weather", "At risk", "Cleared on drying"]}
            rows={view.episodes.map((e) => [
              timeInZone(e.onset, zone),
              e.end ? timeInZone(e.end, zone) : "not known",
              e.inverterIds.join(", "),
              String(e.rows),
              e.state,
              e.atRisk ? "yes" : "no",
              e.clearedOnDrying === null
                ? `cannot tell${e.censored ? ` (${words(e.censored)})` : ""}`
                : e.clearedOnDrying
                  ? "yes"
                  : "no",
            ])}
          />
        ) : null}
      </Block>
      <Block title={`Inverters (${view.inverters.length})`} empty="No inverter on record.">
        {view.inverters.length > 0 ? (
          <Rows
            head={["Inverter", "AC", "Topology", "Detector", "EGC", "AC overcurrent device", "Fault codes"]}
            rows={view.inverters.map((v) => [
              v.inverterId,
              `${v.acKw} kW`,
              orUnknown(v.topology),
              orUnknown(v.detector),
              orUnknown(v.egcAwg, `AWG ${v.egcMaterial ?? ""}`),
              orUnknown(v.acOcpdA, "A"),
              v.codeSystem,
            ])}
          />
        ) : null}
      </Block>
      <Block
        title={`Array sections (${view.sections.length})`}
        empty="No array section on record, so which metal is bonded to which is not known."
      >
        {view.sections.length > 0 ? (
          <Rows
            head={["Section", "Inverter", "DC", "Facing", "Bond", "Bonded to", "Hardware listed", "EGC"]}
            rows={view.sections.map((s) => [
              s.sectionId,
              s.inverterId,
              orUnknown(s.dcKw, "kW"),
              orUnknown(s.azimuthDeg, "° from north"),
              orUnknown(s.bondMethod),
              orUnknown(s.bondedTo),
              orUnknown(s.hardwareListed),
              orUnknown(s.egcAwg, `AWG ${s.egcMaterial ?? ""}`),
            ])}
          />
        ) : null}
      </Block>
    </>
  );
}

/** Warranties and policies on record, with the way to their deadlines. */
export function SiteContracts({ view }: { view: SiteView }) {
  return (
    <>
      <h2>Coverage</h2>
      <p className="no-print">
        <Link href={`/coverage/sites/${encodeURIComponent(view.site.siteId)}`}>
          Warranties, policies and deadlines of this site
        </Link>
      </p>
      <Block open title={`Warranties and policies (${view.coverage.length})`} empty="No warranty or policy on record.">
        {view.coverage.length > 0 ? (
          <>
            <Rows
              head={["Kind", "From", "To", "Limit", "Notice"]}
              rows={view.coverage.map((c) => [
                words(c.kind),
                c.startsOn,
                c.endsOn,
                orUnknown(c.limitAmount, c.currency ?? ""),
                c.noticeDays === null ? "read the contract, notify now" : `${c.noticeDays} days from discovery`,
              ])}
            />
            <p className="soft">The contract itself governs. This is not legal advice.</p>
          </>
        ) : null}
      </Block>
    </>
  );
}

function Block({
  title,
  empty,
  open,
  children,
}: {
  title: string;
  empty: string;
  open?: boolean;
  children: ReactNode;
}) {
  return (
    <details open={open}>
      <summary>{title}</summary>
      {children ?? <p className="soft">{empty}</p>}
    </details>
  );
}

/** What a photo was taken of, in words. */
function photoLabel(item: string): string {
  const place = placeOfItem(item);
  if (!place) return words(item);
  const where = place.sectionId
    ? `, section ${place.sectionId}`
    : place.inverterId
      ? `, inverter ${place.inverterId}`
      : "";
  return `${words(place.check)}${where}`;
}

/** A photo named in a record: a link where the server holds it, its name where it came with an import. */
function photoLinks(photo: string | null, held: ReadonlySet<string>): ReactNode {
  const names = (photo ?? "").split(";").filter(Boolean);
  return names.map((name, i) => (
    <span key={name}>
      {i > 0 ? ", " : ""}
      {held.has(name) ? <a href={`/api/visits/photos/${name}`}>photo {i + 1}</a> : name}
    </span>
  ));
}

function Rows({ head, rows }: { head: string[]; rows: ReactNode[][] }) {
  return (
    <Wide label="Records">
      <table>
        <thead>
          <tr>
            {head.map((name) => (
              <th key={name} scope="col">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, i) => (
            <tr key={i}>
              {row.map((cell, j) => (
                <td key={j}>{cell}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function Inspections({ view }: { view: SiteView }) {
  const held = new Set(view.photos.map((photo) => photo.photoId));
  return (
    <Rows
      head={["When", "Check", "Where", "Outcome", "Reading", "Method", "Surface", "By", "Note", "Photo"]}
      rows={view.inspections.map((i) => [
        i.inspectedAt.dayOnly
          ? i.inspectedAt.day
          : timeInZone(new Date(i.inspectedAt.at).toISOString(), view.site.timeZone),
        words(i.check),
        [
          i.sectionId ? `section ${i.sectionId}` : null,
          i.inverterId ? `inverter ${i.inverterId}` : null,
          i.pointA && i.pointB ? `${i.pointA} to ${i.pointB}` : null,
        ]
          .filter(Boolean)
          .join(", ") || "site",
        i.outcome,
        i.value === null ? "none" : `${i.value} ${i.unit ?? ""} ${i.quantity ? words(i.quantity) : ""}`.trim(),
        i.method ? words(i.method) : "not recorded",
        orUnknown(i.surface),
        orUnknown(i.inspector),
        i.note ?? "",
        photoLinks(i.photo, held),
      ])}
    />
  );
}
