import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { AUDIT_LOG_VIEW } from "@/app/_words/access.ts";
import type { AuditQuery, AuditView } from "@/lib/reads/audit-log-view.ts";

const FIRST_ON_PHONE = 20;
export function AuditLogView({ view, query }: { view: AuditView; query: AuditQuery }) {
  return (
    <>
      <h1>{AUDIT_LOG_VIEW.auditLog}</h1>
      <p className="soft">{AUDIT_LOG_VIEW.whoChangedWhatAnd}</p>
      <Chain view={view} />
      <p className="buttons">
        <a className="button" href="/api/pages/audit/export?format=csv">
          {AUDIT_LOG_VIEW.allOfItAs}
        </a>
        <a className="button" href="/api/pages/audit/export?format=jsonl">
          {AUDIT_LOG_VIEW.allOfItAsJson}
        </a>
      </p>
      <Filters view={view} query={query} />
      <Table
        label={AUDIT_LOG_VIEW.entries}
        className="ranked flowing"
        columns={[
          { name: AUDIT_LOG_VIEW.no, num: true, label: AUDIT_LOG_VIEW.no, cell: (e) => e.seq },
          { name: AUDIT_LOG_VIEW.when, cell: (e) => <When at={e.at} /> },
          {
            name: AUDIT_LOG_VIEW.who,
            label: AUDIT_LOG_VIEW.who,
            cell: (e) => (
              <>
                {e.name ?? e.person} <span className="soft">{e.role}</span>
              </>
            ),
          },
          { name: AUDIT_LOG_VIEW.what, label: AUDIT_LOG_VIEW.what, cell: (e) => e.action },
          { name: AUDIT_LOG_VIEW.ofWhat, label: AUDIT_LOG_VIEW.ofWhat, cell: (e) => e.subject },
          { name: AUDIT_LOG_VIEW.detail, className: "detail", cell: (e) => e.detail },
        ]}
        rows={view.entries}
        later={(_, i) => i >= FIRST_ON_PHONE}
        keyOf={(e) => e.seq}
      />
      {view.entries.length === 0 ? <Empty>{AUDIT_LOG_VIEW.noEntryFitsThese}</Empty> : null}
      {view.older ? <a href={`?${asked({ ...query, before: view.older })}`}>{AUDIT_LOG_VIEW.olderEntries}</a> : null}
    </>
  );
}

function Chain({ view }: { view: AuditView }) {
  const { entries, firstBroken } = view.chain;
  if (firstBroken === null) return <p>{AUDIT_LOG_VIEW.entriesEachHoldsThe(entries.toLocaleString("en-US"))}</p>;
  return (
    <p className="note danger" role="alert">
      {AUDIT_LOG_VIEW.theChainOfHashes(firstBroken)}
    </p>
  );
}

function Filters({ view, query }: { view: AuditView; query: AuditQuery }) {
  return (
    <form className="filters" method="get">
      <label>
        {AUDIT_LOG_VIEW.who}
        <select name="person" defaultValue={query.person}>
          <option value="">{AUDIT_LOG_VIEW.anybody}</option>
          {view.people.map((person) => (
            <option key={person}>{person}</option>
          ))}
        </select>
      </label>
      <label>
        {AUDIT_LOG_VIEW.what}
        <select name="action" defaultValue={query.action}>
          <option value="">{AUDIT_LOG_VIEW.anything}</option>
          {view.actions.map((action) => (
            <option key={action}>{action}</option>
          ))}
        </select>
      </label>
      <label>
        {AUDIT_LOG_VIEW.ofWhat}
        <input type="search" name="subject" defaultValue={query.subject} placeholder="S042" />
      </label>
      <button type="submit" className="button">
        {AUDIT_LOG_VIEW.show}
      </button>
    </form>
  );
}

function asked(query: AuditQuery): string {
  const given = Object.entries(query).filter(([, value]) => value !== "" && value !== undefined);
  return new URLSearchParams(given.map(([key, value]) => [key, String(value)])).toString();
}
