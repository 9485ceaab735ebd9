import Link from "next/link";
import { money, rangedMoney } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { Wide } from "@/app/_ui/wide.tsx";
import type { ExposureSite } from "@/lib/reads/exposure-document.ts";

interface Props {
  sites: readonly ExposureSite[];
  currency: string;
  /** Which part of the tail is shown: the book's or the account's. */
  of: "book" | "whole";
  shortfall: number;
}

/** Sites with the greatest part in the tail first. */
export function SiteTable({ sites, currency, of, shortfall }: Props) {
  return (
    <Wide label="Sites by their part in the tail">
      <table className="ranked" data-exposed-sites>
        <thead>
          <tr>
            <th scope="col">Site</th>
            <th scope="col">Bonding defect</th>
            <th scope="col" className="num">
              Expected, net
            </th>
            <th scope="col" className="num">
              Recovered
            </th>
            <th scope="col" className="num">
              Part of the expected shortfall, 97.5 %
            </th>
          </tr>
        </thead>
        <tbody>
          {sites.map((s) => {
            const part = of === "book" ? s.part_of_book : s.part_of_whole;
            return (
              <tr key={s.site_id} data-exposed={s.site_id}>
                <td className="site">
                  <Link href={`/exposure/sites/${encodeURIComponent(s.site_id)}`}>{s.name}</Link>{" "}
                  <span className="soft">
                    {s.site_id}
                    {of === "whole" ? ` · ${s.book}` : ""}
                  </span>
                </td>
                <td>
                  <Probability value={s.bonding_defect} />
                </td>
                <td className="num" data-label="Expected, net">
                  {rangedMoney(s.expected_net, currency)}
                </td>
                <td className="num" data-label="Recovered">
                  {money(s.expected_recovered, currency)}
                </td>
                <td className="num" data-label="Part of the tail">
                  {money(part, currency)}
                  {shortfall > 0 ? ` (${((100 * part) / shortfall).toFixed(1)} %)` : ""}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </Wide>
  );
}
