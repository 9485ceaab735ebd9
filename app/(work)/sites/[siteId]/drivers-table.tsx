import { decibanText, words } from "@/app/_ui/format.ts";
import { Table } from "@/app/_ui/table.tsx";
import { DRIVERS_TABLE } from "@/app/_words/site-weather.ts";
import type { DriverPosterior } from "@/lib/correlate/drivers.ts";

const MOST_DECIBANS = 40;
/** Prior probabilities that the comparison starts from. */
const PRIOR = { none: 0.4, each: 0.1 };

function decibansOf(share: number, prior: number): string {
  const p = Math.min(Math.max(share, 1e-9), 1 - 1e-9);
  return decibanText(10 * Math.log10(p / (1 - p)) - 10 * Math.log10(prior / (1 - prior)));
}

/** How much less likely than the first, as a ratio of the two; a ratio of posteriors needs no interval of its own. */
function behindText(share: number, best: number): string {
  const by = 10 * Math.log10(best / Math.max(share, 1e-9));
  return by > MOST_DECIBANS ? DRIVERS_TABLE.moreThan(MOST_DECIBANS) : decibanText(by);
}

/** What drives the onsets, compared. */
export function DriversTable({ drivers }: { drivers: DriverPosterior }) {
  const rows = [
    { name: "none", share: drivers.none, prior: PRIOR.none },
    ...Object.entries(drivers.byDriver).map(([name, share]) => ({ name, share, prior: PRIOR.each })),
  ].sort((a, b) => b.share - a.share);
  const best = rows[0]?.share ?? 1;
  return (
    <section aria-label={DRIVERS_TABLE.whatDrivesThem}>
      <h3>{DRIVERS_TABLE.whatDrivesThem}</h3>
      <p className="soft">{DRIVERS_TABLE.eachDriverAgainstA}</p>
      <Table
        label={DRIVERS_TABLE.driversCompared}
        columns={[
          { name: DRIVERS_TABLE.driver, cell: (r) => words(r.name) },
          { name: DRIVERS_TABLE.movedByTheOnsets, num: true, wraps: true, cell: (r) => decibansOf(r.share, r.prior) },
          {
            name: DRIVERS_TABLE.behindTheFirstDecibans,
            num: true,
            wraps: true,
            cell: (r) => behindText(r.share, best),
          },
        ]}
        rows={rows}
        keyOf={(r) => r.name}
      />
    </section>
  );
}
