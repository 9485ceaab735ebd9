import "server-only";
import { authorise } from "../core/permissions.ts";
import { sitePathLinks } from "../grounding/path-links.ts";
import { pieceLabel } from "../grounding/path-piece-links.ts";
import { LINK_NAMES } from "../grounding/path-report.ts";
import type { Actor } from "../store/actor.ts";
import { siteRecords } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { PathChangeDetail, storedFields } from "../writes/change-path.ts";
import type { EditablePart, PathChangeLine, PathEditView } from "./path-edit-view.ts";

const SHOWN_CHANGES = 50;

/** What can be changed by hand of a site's way to ground, and what was; null when there is no such site. */
export async function readPathEdit(actor: Actor, siteId: string): Promise<PathEditView | null> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const records = (await siteRecords(tx, [siteId], { logs: false })).get(siteId);
    if (!records) return null;
    const named: Omit<EditablePart, "fields">[] = [
      { what: "site", id: siteId, label: "Site: electrodes, battery, electrode conductor" },
      ...records.inverters.map((each) => ({
        ...{ what: "inverter" as const, id: each.inverterId, label: `Inverter ${each.inverterId}` },
      })),
      ...records.sections.map((each) => ({
        ...{ what: "section" as const, id: each.sectionId, label: `Section ${each.sectionId}` },
      })),
      ...(records.pathPieces ?? []).map((each) => ({
        ...{ what: "piece" as const, id: each.pieceId, label: pieceLabel(each) },
      })),
      ...(records.pathBonds ?? []).map((each) => ({
        ...{ what: "bond" as const, id: each.bondId, label: `Further bond ${each.bondId}` },
      })),
    ];
    const parts: EditablePart[] = [];
    for (const each of named)
      parts.push({ ...each, fields: (await storedFields(tx, siteId, each.what, each.id)) ?? {} });
    const { nodes, links, runs } = sitePathLinks(records);
    const label = (id: string) => nodes.find((node) => node.id === id)?.label ?? id;
    return {
      siteId,
      parts,
      points: nodes.map((node) => ({ id: node.id, label: node.label })),
      links: [...links, ...runs]
        .filter((link) => link.run === undefined && link.kind !== "piece_bond" && link.kind !== "further_bond")
        .map(({ id, kind, from, to }) => ({ id, label: `${LINK_NAMES[kind].name}, ${label(from)} to ${label(to)}` })),
      history: await historyOf(tx, siteId),
    };
  });
}

async function historyOf(tx: Sql, siteId: string): Promise<PathChangeLine[]> {
  const rows = await tx<{ seq: number; at: Date; person: string; detail: unknown }[]>`
    SELECT seq::int AS seq, at, person, detail FROM audit_entry
    WHERE account_id = current_account() AND subject = ${siteId} AND action = 'path.change'
    ORDER BY seq DESC LIMIT ${SHOWN_CHANGES}`;
  const read = rows.map((row) => ({ ...row, detail: PathChangeDetail.parse(row.detail) }));
  const setBack = new Set(read.flatMap(({ detail }) => detail.undoes ?? []));
  return read.map(({ seq, at, person, detail: { what, id, before, after, reason, undoes } }) => ({
    ...{ seq, at: at.toISOString(), person, what, id, before, after, reason },
    ...{ undoes: undoes ?? null, setBack: setBack.has(seq) },
  }));
}
