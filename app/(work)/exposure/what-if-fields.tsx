import { WHAT_IF_FIELDS } from "@/app/_words/exposure.ts";
import type { WhatIfAsked } from "@/lib/reads/exposure-stored.ts";

export type WhatIfKind = WhatIfAsked["act"]["kind"];

interface Props {
  kind: WhatIfKind;
  most: number;
  installers: readonly { installer: string; sites: number }[];
  currency: string;
}

/** The fields of one kind of act. */
export function WhatIfFields({ kind, most, installers, currency }: Props) {
  if (kind === "inspect")
    return (
      <label>
        {WHAT_IF_FIELDS.installer}
        <select name="installer" required>
          {installers.map((i) => (
            <option key={i.installer} value={i.installer}>
              {WHAT_IF_FIELDS.sites(i.installer, i.sites)}
            </option>
          ))}
        </select>
      </label>
    );
  if (kind === "visit")
    return (
      <>
        <label>
          {WHAT_IF_FIELDS.howManyFromThe}
          <input
            type="number"
            name="count"
            min={1}
            max={Math.max(1, most)}
            defaultValue={Math.min(12, most)}
            required
          />
        </label>
        <label>
          {WHAT_IF_FIELDS.orTheseSiteIds}
          <input type="text" name="named" placeholder="S012 S034" />
        </label>
      </>
    );
  return (
    <>
      <label>
        {WHAT_IF_FIELDS.cover}
        <select name="cover">
          <option value="property_insurance">{WHAT_IF_FIELDS.propertyInsurance}</option>
          <option value="liability_insurance">{WHAT_IF_FIELDS.liabilityInsurance}</option>
        </select>
      </label>
      <label>
        {WHAT_IF_FIELDS.limit(currency)}
        <input type="number" name="limit" min={1} step="any" defaultValue={1_000_000} required />
      </label>
      <label>
        {WHAT_IF_FIELDS.theLimitIsFor}
        <select name="basis">
          <option value="per_occurrence">{WHAT_IF_FIELDS.eachLoss}</option>
          <option value="aggregate">{WHAT_IF_FIELDS.theYearAllSites}</option>
        </select>
      </label>
      <label>
        {WHAT_IF_FIELDS.deductibleALoss(currency)}
        <input type="number" name="deductible" min={0} step="any" defaultValue={2500} required />
      </label>
      <label>
        {WHAT_IF_FIELDS.premiumASiteAnd(currency)}
        <input type="number" name="premium" min={0} step="any" defaultValue={150} required />
      </label>
    </>
  );
}
