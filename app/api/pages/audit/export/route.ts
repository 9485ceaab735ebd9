import { answer } from "@/app/api/answer.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { exportAuditLog } from "@/lib/reads/audit-log.ts";
import { AuditExportQuery } from "@/lib/reads/audit-log-view.ts";
import { parseQuery } from "@/lib/reads/parse-query.ts";

export const dynamic = "force-dynamic";

export function GET(request: Request): Promise<Response> {
  return answer(async () => exportAuditLog(await currentActor(), parseQuery(AuditExportQuery, request.url)));
}
