import Link from "next/link";
import { money, rangedMoney } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { When } from "@/app/_ui/when.tsx";
import type { ExposureSiteView } from "@/lib/reads/exposure-view.ts";
import { Cautions } from "../../cautions.tsx";
import { CauseLossTable } from "./cause-loss-table.tsx";
import { ContractTable } from "./contract-table.tsx";
import { ProofTable } from "./proof-table.tsx";

export function ExposureSite({ view }: { view: ExposureSiteView }) {
  const { site, detail, currency } = view;
  const share = (part: number, whole: number | null) =>
    `${money(part, currency)}${whole ? ` of ${money(whole, currency)}` : ""}`;
  return (
    <>
      <p>
        {view.shortfallOfWhole === null ? (
          <>
            <Link href="/books">Books</Link> · {site.book}
          </>
        ) : (
          <>
            <Link href="/exposure">Exposure</Link> ·{" "}
            <Link href={`/exposure/books/${encodeURIComponent(site.book)}`}>{site.book}</Link>
          </>
        )}
      </p>
      <h1>{site.name}</h1>
      <p className="soft">
        {site.site_id} · installer {detail.installer ?? "not recorded"} · hardware batch{" "}
        {detail.batch ?? "not recorded"}
        {view.asOf ? (
          <>
            {" "}
            · records up to <When at={view.asOf} />
          </>
        ) : null}{" "}
        · <Link href={`/sites/${encodeURIComponent(site.site_id)}`}>why it is scored so</Link>
      </p>
      {view.stale ? (
        <p className="note gap" role="status">
          <strong>Stale.</strong> Scores, contracts or parameters have moved since these figures were drawn.
        </p>
      ) : null}
      <Cautions says={view.cautions} />
      <dl className="facts" data-site-facts>
        <div>
          <dt>Expected loss of the coming year, net</dt>
          <dd>
            <strong>{rangedMoney(site.expected_net, currency)}</strong>
          </dd>
        </div>
        <div>
          <dt>Gross, and what may be recovered of it</dt>
          <dd>
            {money(site.expected_gross, currency)}; {money(site.expected_recovered, currency)}
          </dd>
        </div>
        <div>
          <dt>Bonding or grounding defect</dt>
          <dd>
            <Probability value={site.bonding_defect} />
          </dd>
        </div>
        <div>
          <dt>Part of the book's expected shortfall, 97.5 %</dt>
          <dd>{share(site.part_of_book, view.shortfallOfBook)}</dd>
        </div>
        {view.shortfallOfWhole === null ? null : (
          <div>
            <dt>Part of the account's</dt>
            <dd>{share(site.part_of_whole, view.shortfallOfWhole)}</dd>
          </div>
        )}
      </dl>
      <CauseLossTable view={view} />
      <ContractTable detail={detail} currency={currency} />
      <ProofTable proof={detail.proof} currency={currency} siteId={site.site_id} />
      <h2>What is missing or assumed</h2>
      <ul data-missing>
        {[...detail.missing, ...detail.assumed.map((a) => `Assumed: ${a}.`)].map((says) => (
          <li key={says}>{says}</li>
        ))}
      </ul>
    </>
  );
}
