import { decibanText, words } from "@/app/_ui/format.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { DriverPosterior } from "@/lib/correlate/drivers.ts";

/** Prior probabilities that the comparison starts from. */
const PRIOR = { none: 0.4, each: 0.1 };

function decibansOf(share: number, prior: number): string {
  const p = Math.min(Math.max(share, 1e-9), 1 - 1e-9);
  return decibanText(10 * Math.log10(p / (1 - p)) - 10 * Math.log10(prior / (1 - prior)));
}

const shareText = (p: number) => (p < 0.005 ? "< 0.01" : p > 0.995 ? "> 0.99" : p.toFixed(2));

/** What drives the onsets, compared. */
export function DriversTable({ drivers }: { drivers: DriverPosterior }) {
  const rows = [
    { name: "none", share: drivers.none, prior: PRIOR.none },
    ...Object.entries(drivers.byDriver).map(([name, share]) => ({ name, share, prior: PRIOR.each })),
  ].sort((a, b) => b.share - a.share);
  return (
    <section aria-label="What drives them">
      <h3>What drives them</h3>
      <p className="soft">
        Each driver against a rate that follows only this site’s own season and time of day. Probabilities are relative
        to this list; they are not the probability of a defect. Decibans: how far the onsets moved each from its prior.
      </p>
      <Wide label="Drivers compared">
        <table>
          <thead>
            <tr>
              <th scope="col">Driver</th>
              <th scope="col" className="num">
                Share
              </th>
              <th scope="col" className="num">
                Decibans
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map((r) => (
              <tr key={r.name}>
                <td>{words(r.name)}</td>
                <td className="num">
                  <svg className="share" width={Math.round(60 * r.share)} height={8} aria-hidden="true" />{" "}
                  {shareText(r.share)}
                </td>
                <td className="num">{decibansOf(r.share, r.prior)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
