import { FixState, wetHoursText } from "@/app/_ui/fix-state.tsx";
import { words } from "@/app/_ui/format.ts";
import { Probability } from "@/app/_ui/probability.tsx";
import { IfMay } from "@/app/_ui/role.tsx";
import type { FixLine } from "@/lib/reads/fixes-view.ts";
import { BeforeAfter } from "./before-after.tsx";
import { DetectorWord } from "./detector-word.tsx";

/** Did the fixes hold: each repair with what is known since. */
export function FixWatch({ siteId, fixes }: { siteId: string; fixes: FixLine[] }) {
  return (
    <section aria-label="Did the fixes hold">
      <h2>Did the fixes hold</h2>
      {fixes.length === 0 ? (
        <p className="soft">No repair of a named cause is recorded, so none is watched.</p>
      ) : (
        <p className="soft">
          Silence alone is no proof: held needs continuity and insulation measured after the repair, the detector
          enabled as before, and wet hours with the inverters reporting.
        </p>
      )}
      {fixes.map((fix) => (
        <article key={`${fix.repairedAt}/${fix.cause}/${fix.place}`} className="panel" data-fix={fix.state}>
          <h3 className="first">
            {words(fix.cause)}, repaired {fix.day}
            {fix.place ? `, ${fix.place}` : ""}
          </h3>
          {fix.action ? <p className="soft">{fix.action}</p> : null}
          <p>
            <FixState fix={fix} />. {fix.says}
          </p>
          <dl className="facts">
            <div>
              <dt>Defect still there</dt>
              <dd>
                <Probability value={fix.stillThere} />
              </dd>
            </div>
            <div>
              <dt>Wet hours to 95 % that it is gone</dt>
              <dd>{wetHoursText(fix)}</dd>
            </div>
          </dl>
          <BeforeAfter fix={fix} />
          {fix.missing.length > 0 ? (
            <>
              <p>Missing to call it held:</p>
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
