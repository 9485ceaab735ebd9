import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { AuditQuery, AuditView } from "@/lib/reads/audit-log-view.ts";

export function AuditLogView({ view, query }: { view: AuditView; query: AuditQuery }) {
  return (
    <>
      <h1>Audit log</h1>
      <p className="soft">
        Who changed what, and who saw what says more than it should to everybody. Nobody can change or delete an entry,
        administrators neither. A look at the same thing is entered once in ten minutes.
      </p>
      <Chain view={view} />
      <p className="buttons">
        <a className="button" href="/api/pages/audit/export?format=csv">
          All of it as CSV
        </a>
        <a className="button" href="/api/pages/audit/export?format=jsonl">
          All of it as JSON lines
        </a>
      </p>
      <Filters view={view} query={query} />
      <Table
        label="Entries"
        className="ranked"
        columns={[
          { name: "No.", num: true, label: "No.", cell: (e) => e.seq },
          { name: "When", cell: (e) => <When at={e.at} /> },
          {
            name: "Who",
            label: "Who",
            cell: (e) => (
              <>
                {e.name ?? e.person} <span className="soft">{e.role}</span>
              </>
            ),
          },
          { name: "What", label: "What", cell: (e) => e.action },
          { name: "Of what", label: "Of what", cell: (e) => e.subject },
          { name: "Detail", className: "detail", cell: (e) => e.detail },
        ]}
        rows={view.entries}
        keyOf={(e) => e.seq}
      />
      {view.entries.length === 0 ? <Empty>No entry fits these filters.</Empty> : null}
      {view.older ? <a href={`?${asked({ ...query, before: view.older })}`}>Older entries</a> : null}
    </>
  );
}

function Chain({ view }: { view: AuditView }) {
  const { entries, firstBroken } = view.chain;
  if (firstBroken === null)
    return (
      <p>{entries.toLocaleString("en-US")} entries; each holds the hash of the one before, and the chain is whole.</p>
    );
  return (
    <p className="note danger" role="alert">
      The chain of hashes breaks at entry {firstBroken}: somebody with the rights of the database itself changed or
      removed entries. Keep a copy of the database as it is, and compare with a backup.
    </p>
  );
}

function Filters({ view, query }: { view: AuditView; query: AuditQuery }) {
  return (
    <form className="filters" method="get">
      <label>
        Who
        <select name="person" defaultValue={query.person}>
          <option value="">anybody</option>
          {view.people.map((person) => (
            <option key={person}>{person}</option>
          ))}
        </select>
      </label>
      <label>
        What
        <select name="action" defaultValue={query.action}>
          <option value="">anything</option>
          {view.actions.map((action) => (
            <option key={action}>{action}</option>
          ))}
        </select>
      </label>
      <label>
        Of what
        <input type="search" name="subject" defaultValue={query.subject} placeholder="S042" />
      </label>
      <button type="submit" className="button">
        Show
      </button>
    </form>
  );
}

function asked(query: AuditQuery): string {
  const given = Object.entries(query).filter(([, value]) => value !== "" && value !== undefined);
  return new URLSearchParams(given.map(([key, value]) => [key, String(value)])).toString();
}
