"use client";

import { words } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { CONTRACT_FORM } from "@/app/_words/coverage.ts";
import {
  COVERAGE_CONDITIONS,
  COVERAGE_KINDS,
  COVERAGE_TRIGGERS,
  type Coverage,
  LIMIT_BASES,
} from "@/lib/core/records.ts";
import { Choice, Field, PostForm } from "./post-form.tsx";

const UNKNOWN = ["", CONTRACT_FORM.notRecorded] as const;
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
    return [CONTRACT_FORM.stored, ...troubles].join(" ");
  };
  return (
    <PostForm
      name={contract ? `Change ${contract.coverageId}` : "New contract"}
      button={contract ? CONTRACT_FORM.storeTheChange : CONTRACT_FORM.enterTheContract}
      send={send}
      keeps={contract !== undefined}
    >
      {contract ? null : <Field label={CONTRACT_FORM.numberOfYourOwn} name="coverage_id" required />}
      <Choice label={CONTRACT_FORM.kind} name="kind" options={listed(COVERAGE_KINDS)} value={contract?.kind} />
      <Field label={CONTRACT_FORM.provider} name="provider" value={text(contract?.provider)} />
      <Field label={CONTRACT_FORM.policyOrContractNumber} name="policy_number" value={text(contract?.policyNumber)} />
      <Field label={CONTRACT_FORM.startsOn} name="starts_on" type="date" required value={contract?.startsOn} />
      <Field label={CONTRACT_FORM.endsOn} name="ends_on" type="date" required value={contract?.endsOn} />
      <Field
        label={CONTRACT_FORM.limit}
        name="limit_amount"
        type="number"
        min={0}
        value={text(contract?.limitAmount)}
      />
      <Field
        label={CONTRACT_FORM.deductible}
        name="deductible_amount"
        type="number"
        min={0}
        value={text(contract?.deductibleAmount)}
      />
      <Field label={CONTRACT_FORM.currencyThreeLetters} name="currency" value={text(contract?.currency)} />
      <Choice
        label={CONTRACT_FORM.limitCounts}
        name="limit_basis"
        options={[UNKNOWN, ...listed(LIMIT_BASES)]}
        value={text(contract?.limitBasis)}
      />
      <Choice
        label={CONTRACT_FORM.trigger}
        name="trigger"
        options={[UNKNOWN, ...listed(COVERAGE_TRIGGERS)]}
        value={text(contract?.trigger)}
      />
      <Field
        label={CONTRACT_FORM.noticeDaysFromDiscovery}
        name="notice_days"
        type="number"
        min={0}
        value={text(contract?.noticeDays)}
      />
      <Field label={CONTRACT_FORM.noticeTo} name="notice_to" value={text(contract?.noticeTo)} />
      <Field
        label={CONTRACT_FORM.proofOfLossDays}
        name="proof_of_loss_days"
        type="number"
        min={0}
        value={text(contract?.proofOfLossDays)}
      />
      <Field
        label={CONTRACT_FORM.suitMonths}
        name="suit_limit_months"
        type="number"
        min={0}
        value={text(contract?.suitLimitMonths)}
      />
      <Field
        label={CONTRACT_FORM.exclusionsBetweenSemicolons}
        name="excludes"
        wide
        value={contract?.excludes.join("; ")}
      />
      <fieldset className="plain wide">
        <legend>{CONTRACT_FORM.conditionsInTheContract}</legend>
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
      <p className="soft wide">{CONTRACT_FORM.leaveEmptyWhatThe}</p>
    </PostForm>
  );
}
