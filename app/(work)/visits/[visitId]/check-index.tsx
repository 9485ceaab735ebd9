"use client";

import { words } from "@/app/_ui/format.ts";
import { CHECK_INDEX, WORK_ITEM } from "@/app/_words/visit.ts";
import type { ChecklistItem } from "@/lib/reads/documents.ts";
import { itemKey } from "@/lib/visit/visit-records.ts";
import { fieldOf, type VisitLog } from "./use-visit-log.ts";
import type { Worker } from "./worker-fields.tsx";

/** Where a check stands on the page. */
export const checkAnchor = (number: number) => `check-${number}`;

/** A check with its place, as its heading has it. */
export const checkName = ({ check, section_id, inverter_id }: ChecklistItem) =>
  words(check) +
  (section_id ? WORK_ITEM.section(section_id) : "") +
  (inverter_id ? WORK_ITEM.inverter(inverter_id) : "");

/** All checks with what was answered: a long checklist on a phone is gone through by its places, not from top to bottom. */
export function CheckIndex({ checklist, log, worker }: { checklist: ChecklistItem[]; log: VisitLog; worker: Worker }) {
  const outcomes = checklist.map((item) => {
    const { own, decided } = fieldOf(
      log.edits,
      itemKey(item.check, item.section_id, item.inverter_id),
      "outcome",
      worker.name,
    );
    return decided?.value ?? own ?? "";
  });
  return (
    <details className="check-index">
      <summary>{CHECK_INDEX.allChecks(checklist.length, outcomes.filter(Boolean).length)}</summary>
      <ol>
        {checklist.map((item, i) => (
          <li key={i}>
            <a href={`#${checkAnchor(i + 1)}`}>{checkName(item)}</a> {outcomes[i] || CHECK_INDEX.open}
          </li>
        ))}
      </ol>
    </details>
  );
}
