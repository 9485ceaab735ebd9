import { FixState, wetHoursText } from "@/app/_ui/fix-state.tsx";
import { words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { IfMay } from "@/app/_ui/role.tsx";
import { FIX_WATCH } from "@/app/_words/site-history.ts";
import type { FixLine } from "@/lib/reads/fixes-view.ts";
import { BeforeAfter } from "./before-after.tsx";
import { DetectorWord } from "./detector-word.tsx";

/** Did the fixes hold: each repair with what is known since. */
export function FixWatch({ siteId, fixes }: { siteId: string; fixes: FixLine[] }) {
  return (
    <section aria-label={FIX_WATCH.didTheFixesHold}>
      <h2>{FIX_WATCH.didTheFixesHold}</h2>
      {fixes.length === 0 ? (
        <p className="soft">{FIX_WATCH.noRepairOfA}</p>
      ) : (
        <p className="soft">{FIX_WATCH.silenceAloneIsNo}</p>
      )}
      {fixes.map((fix) => (
        <article key={`${fix.repairedAt}/${fix.cause}/${fix.place}`} className="panel" data-fix={fix.state}>
          <h3 className="first">{FIX_WATCH.repaired(words(fix.cause), fix.day, fix.place ? `, ${fix.place}` : "")}</h3>
          {fix.action ? <p className="soft">{fix.action}</p> : null}
          <p>
            <FixState fix={fix} />. {fix.says}
          </p>
          <dl className="facts">
            <div>
              <dt>{FIX_WATCH.defectStillThere}</dt>
              <dd>
                <Probability value={fix.stillThere} />
              </dd>
            </div>
            <div>
              <dt>{FIX_WATCH.wetHoursToThat}</dt>
              <dd>{wetHoursText(fix)}</dd>
            </div>
          </dl>
          <BeforeAfter fix={fix} />
          {fix.missing.length > 0 ? (
            <>
              <p>{FIX_WATCH.missingToCallIt}</p>
              <ul>
                {fix.missing.map((what) => (
                  <li key={what}>{what}</li>
                ))}
              </ul>
            </>
          ) : null}
          <IfMay operation="detector.write">
            <DetectorWord siteId={siteId} fix={fix} />
          </IfMay>
        </article>
      ))}
    </section>
  );
}
