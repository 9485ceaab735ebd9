import Link from "next/link";
import type { ReactNode } from "react";
import { money, orUnknown, words } from "@/app/_ui/format.ts";
import { SentPicture } from "@/app/_ui/sent-picture.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { Reading } from "@/app/_ui/units.tsx";
import { When } from "@/app/_ui/when.tsx";
import { SITE_RECORDS_TABLES } from "@/app/_words/site.ts";
import type { SiteView } from "@/lib/reads/site-view.ts";
import { placeOfItem } from "@/lib/visit/written-items.ts";

/** Rows of each record that a phone shows at once. */
const FIRST_ON_PHONE = 5;

/** The records behind the score, as they were imported. */
export function SiteRecordsTables({ view }: { view: SiteView }) {
  const zone = view.site.timeZone;
  const episodes = SITE_RECORDS_TABLES.groundFaultEpisodes(
    view.episodesTotal,
    view.episodesTotal > view.episodes.length ? SITE_RECORDS_TABLES.newestShown(view.episodes.length) : "",
  );
  return (
    <>
      <h2>{SITE_RECORDS_TABLES.records}</h2>
      <p className="soft">{SITE_RECORDS_TABLES.timesIn(zone)}</p>
      <Block
        title={SITE_RECORDS_TABLES.inspections(view.inspections.length)}
        empty={SITE_RECORDS_TABLES.neverInspectedAGap}
        open
      >
        {view.inspections.length > 0 ? <Inspections view={view} /> : null}
      </Block>
      <Block title={SITE_RECORDS_TABLES.photos(view.photos.length)} empty={SITE_RECORDS_TABLES.noPhotoOfA}>
        {view.photos.length > 0 ? (
          <ul className="photos">
            {view.photos.map((photo) => (
              <SentPicture key={photo.photoId} photo={photo} label={photoLabel(photo.item)} />
            ))}
          </ul>
        ) : null}
      </Block>
      <Block title={SITE_RECORDS_TABLES.repairs(view.repairs.length)} empty={SITE_RECORDS_TABLES.noRepairOnRecord}>
        {view.repairs.length > 0 ? (
          <Rows
            label={SITE_RECORDS_TABLES.repairs(view.repairs.length)}
            head={[
              SITE_RECORDS_TABLES.day,
              SITE_RECORDS_TABLES.cause,
              SITE_RECORDS_TABLES.section,
              SITE_RECORDS_TABLES.inverter,
              SITE_RECORDS_TABLES.action,
              SITE_RECORDS_TABLES.confirmed,
              SITE_RECORDS_TABLES.testedAfter,
            ]}
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
      <Block title={episodes} empty={SITE_RECORDS_TABLES.noGroundFaultEpisode}>
        {view.episodes.length > 0 ? (
          <Rows
            label={episodes}
            head={[
              SITE_RECORDS_TABLES.onset,
              SITE_RECORDS_TABLES.end,
              SITE_RECORDS_TABLES.inverters,
              SITE_RECORDS_TABLES.rows,
              SITE_RECORDS_TABLES.weather,
              SITE_RECORDS_TABLES.atRisk,
              SITE_RECORDS_TABLES.clearedOnDrying,
            ]}
            rows={view.episodes.map((e) => [
              <When key="onset" at={e.onset} />,
              e.end ? <When key="end" at={e.end} /> : SITE_RECORDS_TABLES.notKnown,
              e.inverterIds.join(", "),
              String(e.rows),
              e.state,
              e.atRisk ? "yes" : "no",
              e.clearedOnDrying === null
                ? SITE_RECORDS_TABLES.cannotTell(e.censored ? ` (${words(e.censored)})` : "")
                : e.clearedOnDrying
                  ? "yes"
                  : "no",
            ])}
          />
        ) : null}
      </Block>
      <Block
        title={SITE_RECORDS_TABLES.inverters2(view.inverters.length)}
        empty={SITE_RECORDS_TABLES.noInverterOnRecord}
      >
        {view.inverters.length > 0 ? (
          <Rows
            label={SITE_RECORDS_TABLES.inverters2(view.inverters.length)}
            head={[
              SITE_RECORDS_TABLES.inverter,
              "AC",
              SITE_RECORDS_TABLES.topology,
              SITE_RECORDS_TABLES.detector,
              "EGC",
              SITE_RECORDS_TABLES.acOvercurrentDevice,
              SITE_RECORDS_TABLES.faultCodes,
            ]}
            rows={view.inverters.map((v) => [
              v.inverterId,
              `${v.acKw} kW`,
              orUnknown(v.topology),
              orUnknown(v.detector),
              orUnknown(v.egcAwg, SITE_RECORDS_TABLES.awg(v.egcMaterial ?? "")),
              orUnknown(v.acOcpdA, "A"),
              v.codeSystem,
            ])}
          />
        ) : null}
      </Block>
      <Block
        title={SITE_RECORDS_TABLES.arraySections(view.sections.length)}
        empty={SITE_RECORDS_TABLES.noArraySectionOn}
      >
        {view.sections.length > 0 ? (
          <Rows
            label={SITE_RECORDS_TABLES.arraySections(view.sections.length)}
            head={[
              SITE_RECORDS_TABLES.section,
              SITE_RECORDS_TABLES.inverter,
              "DC",
              SITE_RECORDS_TABLES.facing,
              SITE_RECORDS_TABLES.bond,
              SITE_RECORDS_TABLES.bondedTo,
              SITE_RECORDS_TABLES.hardwareListed,
              "EGC",
            ]}
            rows={view.sections.map((s) => [
              s.sectionId,
              s.inverterId,
              orUnknown(s.dcKw, "kW"),
              orUnknown(s.azimuthDeg, SITE_RECORDS_TABLES.fromNorth),
              orUnknown(s.bondMethod),
              orUnknown(s.bondedTo),
              orUnknown(s.hardwareListed),
              orUnknown(s.egcAwg, SITE_RECORDS_TABLES.awg(s.egcMaterial ?? "")),
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
      <h2>{SITE_RECORDS_TABLES.coverage}</h2>
      <p className="no-print">
        <Link href={`/coverage/sites/${encodeURIComponent(view.site.siteId)}`}>
          {SITE_RECORDS_TABLES.warrantiesPoliciesAndDeadlines}
        </Link>
      </p>
      <Block
        open
        title={SITE_RECORDS_TABLES.warrantiesAndPolicies(view.coverage.length)}
        empty={SITE_RECORDS_TABLES.noWarrantyOrPolicy}
      >
        {view.coverage.length > 0 ? (
          <>
            <Rows
              label={SITE_RECORDS_TABLES.warrantiesAndPolicies(view.coverage.length)}
              head={[
                SITE_RECORDS_TABLES.kind,
                SITE_RECORDS_TABLES.from,
                SITE_RECORDS_TABLES.to,
                SITE_RECORDS_TABLES.limit,
                SITE_RECORDS_TABLES.notice,
              ]}
              rows={view.coverage.map((c) => [
                words(c.kind),
                c.startsOn,
                c.endsOn,
                c.limitAmount === null ? orUnknown(null) : money(c.limitAmount, c.currency ?? ""),
                c.noticeDays === null
                  ? SITE_RECORDS_TABLES.readTheContractNotify
                  : SITE_RECORDS_TABLES.daysFromDiscovery(c.noticeDays),
              ])}
            />
            <p className="soft">{SITE_RECORDS_TABLES.theContractItselfGoverns}</p>
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
    ? SITE_RECORDS_TABLES.section2(place.sectionId)
    : place.inverterId
      ? SITE_RECORDS_TABLES.inverter2(place.inverterId)
      : "";
  return `${words(place.check)}${where}`;
}

/** A photo named in a record: a link where the server holds it, its name where it came with an import. */
function photoLinks(photo: string | null, held: ReadonlySet<string>): ReactNode {
  const names = (photo ?? "").split(";").filter(Boolean);
  return names.map((name, i) => (
    <span key={name}>
      {i > 0 ? ", " : ""}
      {held.has(name) ? <a href={`/api/visits/photos/${name}`}>{SITE_RECORDS_TABLES.photo(i + 1)}</a> : name}
    </span>
  ));
}

function Rows({ label, head, rows }: { label: string; head: string[]; rows: ReactNode[][] }) {
  return (
    <Table
      label={SITE_RECORDS_TABLES.asTable(label)}
      className="flowing"
      columns={head.map((name, k) => ({ name, cell: (row: ReactNode[]) => row[k] }))}
      rows={rows}
      keyOf={(_, i) => i}
      later={(_, i) => i >= FIRST_ON_PHONE}
    />
  );
}

function Inspections({ view }: { view: SiteView }) {
  const held = new Set(view.photos.map((photo) => photo.photoId));
  return (
    <Rows
      label={SITE_RECORDS_TABLES.inspections(view.inspections.length)}
      head={[
        SITE_RECORDS_TABLES.when,
        SITE_RECORDS_TABLES.check,
        SITE_RECORDS_TABLES.where,
        SITE_RECORDS_TABLES.outcome,
        SITE_RECORDS_TABLES.reading,
        SITE_RECORDS_TABLES.method,
        SITE_RECORDS_TABLES.surface,
        SITE_RECORDS_TABLES.by,
        SITE_RECORDS_TABLES.note,
        SITE_RECORDS_TABLES.photo2,
      ]}
      rows={view.inspections.map((i) => [
        i.inspectedAt.dayOnly ? i.inspectedAt.day : <When key="at" at={new Date(i.inspectedAt.at).toISOString()} />,
        words(i.check),
        [
          i.sectionId ? SITE_RECORDS_TABLES.section3(i.sectionId) : null,
          i.inverterId ? SITE_RECORDS_TABLES.inverter3(i.inverterId) : null,
          i.pointA && i.pointB ? `${i.pointA} to ${i.pointB}` : null,
        ]
          .filter(Boolean)
          .join(", ") || "site",
        i.outcome,
        i.value === null ? "none" : <Reading key="reading" text={i.value} unit={i.unit} quantity={i.quantity} />,
        i.method ? words(i.method) : SITE_RECORDS_TABLES.notRecorded,
        orUnknown(i.surface),
        orUnknown(i.inspector),
        i.note ?? "",
        photoLinks(i.photo, held),
      ])}
    />
  );
}
