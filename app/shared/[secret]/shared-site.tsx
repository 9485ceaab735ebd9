import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { SHARED_SITE } from "@/app/_words/share.ts";
import type { SharedSiteView } from "@/lib/reads/shared-site-view.ts";

/** The summary of a site's evidence, word for word as the PDF has it. */
export function SharedSite({ view }: { view: SharedSiteView }) {
  return (
    <main className="body">
      <p className="soft">
        {SHARED_SITE.sharedByWithTo(view.sharedBy, view.madeFor)} <When at={view.expiresAt} />
        {SHARED_SITE.eachOpeningIsRecorded}
      </p>
      <h1>
        {view.title}: {view.subtitle}
      </h1>
      <p className="no-print">
        {view.units === "us" ? (
          <a href="?units=metric">{SHARED_SITE.inMetricAlone}</a>
        ) : (
          <a href="?units=us">{SHARED_SITE.withUsUnits}</a>
        )}
      </p>
      <dl className="facts">
        {view.facts.map(([label, value]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {view.sections.map((section) => (
        <section key={section.heading}>
          <h2>{section.heading}</h2>
          {section.paragraphs.map((p) => (
            <p key={p}>{p}</p>
          ))}
          {section.table && section.table.rows.length > 0 ? (
            <Rows name={section.heading} table={section.table} />
          ) : null}
          {(section.after ?? []).map((p) => (
            <p key={p}>{p}</p>
          ))}
        </section>
      ))}
    </main>
  );
}

function Rows({ name, table }: { name: string; table: NonNullable<SharedSiteView["sections"][number]["table"]> }) {
  return (
    <Table
      label={name}
      className="wrapped roomy"
      columns={table.columns.map((c, k) => ({
        name: c.head,
        num: c.right ?? false,
        cell: (row: readonly string[]) => row[k],
      }))}
      rows={table.rows}
      keyOf={(_, i) => i}
    />
  );
}
