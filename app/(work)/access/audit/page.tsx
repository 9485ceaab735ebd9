import type { Metadata } from "next";
import { AUDIT_PAGE } from "@/app/_words/access.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readAuditLog } from "@/lib/reads/audit-log.ts";
import { AuditQuery } from "@/lib/reads/audit-log-view.ts";
import { AccessNav } from "../access-nav.tsx";
import { AuditLogView } from "./audit-log-view.tsx";

export const metadata: Metadata = { title: AUDIT_PAGE.auditLog };
export const dynamic = "force-dynamic";

export default async function AuditPage({ searchParams }: { searchParams: Promise<Record<string, string>> }) {
  const asked = AuditQuery.safeParse(await searchParams);
  const query = asked.success ? asked.data : AuditQuery.parse({});
  const view = await readAuditLog(await currentActor(), query);
  return (
    <>
      <AccessNav at="audit" />
      <AuditLogView view={view} query={query} />
    </>
  );
}
