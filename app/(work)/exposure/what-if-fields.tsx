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
        Installer
        <select name="installer" required>
          {installers.map((i) => (
            <option key={i.installer} value={i.installer}>
              {i.installer} ({i.sites} sites)
            </option>
          ))}
        </select>
      </label>
    );
  if (kind === "visit")
    return (
      <>
        <label>
          How many, from the top of the list
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
          Or these site ids
          <input type="text" name="named" placeholder="S012 S034" />
        </label>
      </>
    );
  return (
    <>
      <label>
        Cover
        <select name="cover">
          <option value="property_insurance">property insurance</option>
          <option value="liability_insurance">liability insurance</option>
        </select>
      </label>
      <label>
        Limit, {currency}
        <input type="number" name="limit" min={1} step="any" defaultValue={1_000_000} required />
      </label>
      <label>
        The limit is for
        <select name="basis">
          <option value="per_occurrence">each loss</option>
          <option value="aggregate">the year, all sites together</option>
        </select>
      </label>
      <label>
        Deductible, {currency} a loss
        <input type="number" name="deductible" min={0} step="any" defaultValue={2500} required />
      </label>
      <label>
        Premium, {currency} a site and year
        <input type="number" name="premium" min={0} step="any" defaultValue={150} required />
      </label>
    </>
  );
}
