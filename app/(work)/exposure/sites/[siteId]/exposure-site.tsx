import Link from "next/link";
import { money, rangedMoney } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { When } from "@/app/_ui/when.tsx";
import { EXPOSURE_SITE } from "@/app/_words/exposure.ts";
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
            <Link href="/books">{EXPOSURE_SITE.books}</Link> · {site.book}
          </>
        ) : (
          <>
            <Link href="/exposure">{EXPOSURE_SITE.exposure}</Link> ·{" "}
            <Link href={`/exposure/books/${encodeURIComponent(site.book)}`}>{site.book}</Link>
          </>
        )}
      </p>
      <h1>{site.name}</h1>
      <p className="soft">
        {EXPOSURE_SITE.installerHardwareBatch(
          site.site_id,
          detail.installer ?? EXPOSURE_SITE.notRecorded,
          detail.batch ?? EXPOSURE_SITE.notRecorded,
        )}
        {view.asOf ? (
          <>
            {" "}
            {EXPOSURE_SITE.recordsUpTo} <When at={view.asOf} />
          </>
        ) : null}{" "}
        · <Link href={`/sites/${encodeURIComponent(site.site_id)}`}>{EXPOSURE_SITE.whyItIsScored}</Link>
      </p>
      {view.stale ? (
        <p className="note gap" role="status">
          <strong>{EXPOSURE_SITE.stale}</strong> {EXPOSURE_SITE.scoresContractsOrParameters}
        </p>
      ) : null}
      <Cautions says={view.cautions} />
      <dl className="facts" data-site-facts>
        <div>
          <dt>{EXPOSURE_SITE.expectedLossOfThe}</dt>
          <dd>
            <strong>{rangedMoney(site.expected_net, currency)}</strong>
          </dd>
        </div>
        <div>
          <dt>{EXPOSURE_SITE.grossAndWhatMay}</dt>
          <dd>
            {money(site.expected_gross, currency)}; {money(site.expected_recovered, currency)}
          </dd>
        </div>
        <div>
          <dt>{EXPOSURE_SITE.bondingOrGroundingDefect}</dt>
          <dd>
            <Probability value={site.bonding_defect} />
          </dd>
        </div>
        <div>
          <dt>{EXPOSURE_SITE.partOfTheBooks}</dt>
          <dd>{share(site.part_of_book, view.shortfallOfBook)}</dd>
        </div>
        {view.shortfallOfWhole === null ? null : (
          <div>
            <dt>{EXPOSURE_SITE.partOfTheAccounts}</dt>
            <dd>{share(site.part_of_whole, view.shortfallOfWhole)}</dd>
          </div>
        )}
      </dl>
      <CauseLossTable view={view} />
      <ContractTable detail={detail} currency={currency} />
      <ProofTable proof={detail.proof} currency={currency} siteId={site.site_id} />
      <h2>{EXPOSURE_SITE.whatIsMissingOr}</h2>
      <ul data-missing>
        {[...detail.missing, ...detail.assumed.map((a) => EXPOSURE_SITE.assumed(a))].map((says) => (
          <li key={says}>{says}</li>
        ))}
      </ul>
    </>
  );
}
