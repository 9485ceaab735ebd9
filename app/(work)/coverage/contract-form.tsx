"use client";

import { words } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import {
  COVERAGE_CONDITIONS,
  COVERAGE_KINDS,
  COVERAGE_TRIGGERS,
  type Coverage,
  LIMIT_BASES,
} from "@/lib/core/records.ts";
import { Choice, Field, PostForm } from "./post-form.tsx";

const UNKNOWN = ["", "not recorded"] as const;
const listed = (names: readonly string[]) => names.map((name) => [name, words(name)] as const);
const text = (value: string | number | null | undefined) =>
  value === null || value === undefined ? "" : String(value);

/** The terms of one contract, new or changed. An empty field means not known, never zero. */
export function ContractForm({ siteId, contract }: { siteId: string; contract?: Coverage }) {
  const send = async (form: FormData) => {
    const of = (name: string) => String(form.get(name) ?? "").trim();
    const names = [
      ...[
        "coverage_id",
        "kind",
        "provider",
        "policy_number",
        "starts_on",
        "ends_on",
        "limit_amount",
        "deductible_amount",
      ],
      ...[
        "currency",
        "limit_basis",
        "trigger",
        "notice_days",
        "notice_to",
        "proof_of_loss_days",
        "suit_limit_months",
        "excludes",
      ],
    ];
    const terms = Object.fromEntries(names.map((name) => [name, of(name)]));
    const conditions = form.getAll("conditions").join(";");
    const { troubles } = await postJson<{ troubles: string[] }>("/api/pages/coverage/terms", {
      change: contract !== undefined,
      terms: { ...terms, coverage_id: contract?.coverageId ?? terms.coverage_id, site_id: siteId, conditions },
    });
    return ["Stored.", ...troubles].join(" ");
  };
  return (
    <PostForm
      name={contract ? `Change ${contract.coverageId}` : "New contract"}
      button={contract ? "Store the change" : "Enter the contract"}
      send={send}
      keeps={contract !== undefined}
    >
      {contract ? null : <Field label="Number of your own" name="coverage_id" required />}
      <Choice label="Kind" name="kind" options={listed(COVERAGE_KINDS)} value={contract?.kind} />
      <Field label="Provider" name="provider" value={text(contract?.provider)} />
      <Field label="Policy or contract number" name="policy_number" value={text(contract?.policyNumber)} />
      <Field label="Starts on" name="starts_on" type="date" required value={contract?.startsOn} />
      <Field label="Ends on" name="ends_on" type="date" required value={contract?.endsOn} />
      <Field label="Limit" name="limit_amount" type="number" min={0} value={text(contract?.limitAmount)} />
      <Field
        label="Deductible"
        name="deductible_amount"
        type="number"
        min={0}
        value={text(contract?.deductibleAmount)}
      />
      <Field label="Currency (three letters)" name="currency" value={text(contract?.currency)} />
      <Choice
        label="Limit counts"
        name="limit_basis"
        options={[UNKNOWN, ...listed(LIMIT_BASES)]}
        value={text(contract?.limitBasis)}
      />
      <Choice
        label="Trigger"
        name="trigger"
        options={[UNKNOWN, ...listed(COVERAGE_TRIGGERS)]}
        value={text(contract?.trigger)}
      />
      <Field
        label="Notice, days from discovery"
        name="notice_days"
        type="number"
        min={0}
        value={text(contract?.noticeDays)}
      />
      <Field label="Notice to" name="notice_to" value={text(contract?.noticeTo)} />
      <Field
        label="Proof of loss, days"
        name="proof_of_loss_days"
        type="number"
        min={0}
        value={text(contract?.proofOfLossDays)}
      />
      <Field
        label="Suit, months"
        name="suit_limit_months"
        type="number"
        min={0}
        value={text(contract?.suitLimitMonths)}
      />
      <Field label="Exclusions, between semicolons" name="excludes" wide value={contract?.excludes.join("; ")} />
      <fieldset className="plain wide">
        <legend>Conditions in the contract</legend>
        {COVERAGE_CONDITIONS.map((name) => (
          <label key={name} className="tick">
            <input
              type="checkbox"
              name="conditions"
              value={name}
              defaultChecked={contract?.conditions.includes(name)}
            />{" "}
            {words(name)}
          </label>
        ))}
      </fieldset>
      <p className="soft wide">
        Leave empty what the contract does not say or you have not read: empty is not known, never zero.
      </p>
    </PostForm>
  );
}
