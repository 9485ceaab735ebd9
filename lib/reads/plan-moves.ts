import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { moveOptions } from "../dispatch/plans/move-options.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { loadPlan } from "./load-plan.ts";
import { siteNames } from "./plan-board.ts";
import type { MoveOptionView, MovesView } from "./plan-board-view.ts";

export const MovesQuery = z.object({ visit: z.string().min(1) });

/** Every place that a visit of a plan could go, each with what it would change. @throws AppError `not_found` */
export async function readMoves(actor: Actor, planId: string, visitId: string): Promise<MovesView> {
  authorise(actor, "plan.write");
  return readTransaction(actor, async (tx) => {
    const loaded = await loadPlan(tx, planId);
    const { plan, held, routes } = loaded;
    const visit = held.visitOf.get(visitId);
    if (visit === undefined)
      throw new AppError("not_found", { message: `The visit "${visitId}" is not in this plan.` });
    const names = await siteNames(tx, loaded);
    const nameOf = (id: string) => {
      const index = held.visitOf.get(id);
      const siteId = index === undefined ? id : (held.input.visits[index]?.site.siteId ?? id);
      return names.get(siteId) ?? siteId;
    };
    const promised = held.input.visits[visit]?.booked?.status === "promised";
    const [account] = await tx<
      { currency: string }[]
    >`SELECT currency FROM account WHERE account_id = current_account()`;
    const options = moveOptions(held, routes, visit).map(({ day, position, sameDay, consequence }): MoveOptionView => {
      const shift = day === null ? null : held.planned.shifts[day];
      const crewName = shift?.crew.name ?? "";
      const route = day === null ? [] : (routes[day] ?? []).filter((stop) => stop !== visit);
      const after = position === 0 ? null : nameOf(held.input.visits[route[position - 1] ?? -1]?.visitId ?? "");
      const place = after === null ? "first" : `after ${after}`;
      return {
        ...{ crewId: shift?.crew.crewId ?? null, crewName, day: shift?.day ?? null, position, sameDay },
        says: shift ? `${crewName}, ${shift.day}, ${place}` : "Out of the plan",
        ...{ value: consequence.value, km: consequence.km, lateMinutes: consequence.lateMinutes },
        broken: consequence.broken.map((rule) => named(rule, nameOf, visitId)),
        hazardsLater: consequence.hazardsLater.map((h) => `${nameOf(h.visitId)} ${h.says}`),
        needsReason: promised || consequence.hazardsLater.length > 0 || plan.state === "confirmed",
      };
    });
    const [siteName, revision] = [nameOf(visitId), plan.revision];
    return { visitId, siteName, revision, currency: account?.currency ?? "USD", options };
  });
}

/** A rule as its reader knows the visits: by the names of their sites; of the visit that moves, without it. */
function named(rule: string, nameOf: (id: string) => string, own: string): string {
  const [id = ""] = rule.split(": ", 1);
  if (!rule.includes(": ")) return rule;
  const says = rule.slice(id.length + 2);
  return id === own ? says : `${nameOf(id)}: ${says}`;
}
