import { Figure } from "@/app/_ui/figure.tsx";
import { decibanText, words } from "@/app/_ui/format.ts";
import { Sentence } from "@/app/_ui/units.tsx";
import { REASONS } from "@/app/_words/site-evidence.ts";
import type { SiteScore } from "@/lib/reads/documents.ts";

type Item = SiteScore["evidence"][number];

/** The strongest reason for and the strongest against, the base rate left out: it is no reason about this site. */
export function Reasons({ evidence }: { evidence: Item[] }) {
  const own = evidence.filter((e) => e.source !== "prior");
  const most = (sign: 1 | -1) =>
    own.reduce<Item | null>(
      (best, e) => (e.decibans * sign > Math.max(0, (best?.decibans ?? 0) * sign) ? e : best),
      null,
    );
  return (
    <div className="pair">
      <Reason
        title={REASONS.strongestReasonForA}
        item={most(1)}
        evidence={evidence}
        none={REASONS.nothingRecordedOfThis}
      />
      <Reason
        title={REASONS.strongestReasonAgainst}
        item={most(-1)}
        evidence={evidence}
        none={REASONS.nothingRecordedOfThisSite}
      />
    </div>
  );
}

interface ReasonProps {
  title: string;
  item: Item | null;
  evidence: Item[];
  none: string;
}

function Reason({ title, item, evidence, none }: ReasonProps) {
  return (
    <section className="note">
      <strong>{title}</strong>
      <p>
        {item ? (
          <Figure of={`evidence-${evidence.indexOf(item)}`}>
            <Sentence says={item.says} /> {REASONS.decibans(decibanText(item.decibans), words(item.source))}
          </Figure>
        ) : (
          none
        )}
      </p>
    </section>
  );
}
