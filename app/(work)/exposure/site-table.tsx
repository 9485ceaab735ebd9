import Link from "next/link";
import { money, rangedMoney } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { SITE_TABLE } from "@/app/_words/exposure.ts";
import type { ExposureSite } from "@/lib/reads/exposure-document.ts";

const FIRST_ON_PHONE = 8;

interface Props {
  sites: readonly ExposureSite[];
  currency: string;
  /** Which part of the tail is shown: the book's or the account's. */
  of: "book" | "whole";
  shortfall: number;
}

/** Sites with the greatest part in the tail first. */
export function SiteTable({ sites, currency, of, shortfall }: Props) {
  const partOf = (s: ExposureSite) => (of === "book" ? s.part_of_book : s.part_of_whole);
  return (
    <Table
      label={SITE_TABLE.sitesByTheirPart}
      className="ranked"
      data={{ "data-exposed-sites": true }}
      rowData={(s) => ({ "data-exposed": s.site_id })}
      columns={[
        {
          name: SITE_TABLE.site,
          className: "site",
          cell: (s) => (
            <>
              <Link href={`/exposure/sites/${encodeURIComponent(s.site_id)}`}>{s.name}</Link>{" "}
              <span className="soft">
                {s.site_id}
                {of === "whole" ? ` · ${s.book}` : ""}
              </span>
            </>
          ),
        },
        { name: SITE_TABLE.bondingDefect, cell: (s) => <Probability value={s.bonding_defect} /> },
        {
          name: SITE_TABLE.expectedNet,
          num: true,
          label: SITE_TABLE.expectedNet,
          cell: (s) => rangedMoney(s.expected_net, currency),
        },
        {
          name: SITE_TABLE.recovered,
          num: true,
          label: SITE_TABLE.recovered,
          cell: (s) => money(s.expected_recovered, currency),
        },
        {
          name: SITE_TABLE.partOfTheExpected,
          num: true,
          label: SITE_TABLE.partOfTheTail,
          cell: (s) => {
            const share = shortfall > 0 ? ` (${((100 * partOf(s)) / shortfall).toFixed(1)} %)` : "";
            return money(partOf(s), currency) + share;
          },
        },
      ]}
      rows={sites}
      later={(_, i) => i >= FIRST_ON_PHONE}
      keyOf={(s) => s.site_id}
    />
  );
}
