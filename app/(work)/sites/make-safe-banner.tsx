import Link from "next/link";
import { utcTime } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { MAKE_SAFE_BANNER } from "@/app/_words/sites.ts";
import type { OpenMakeSafe } from "@/lib/reads/make-safe-view.ts";
import type { RankedSitesView } from "@/lib/reads/ranked-sites-view.ts";
import { STEP_WORDS } from "@/lib/visit/make-safe-state.ts";

/** Emergencies told in full before the list; the rest is one tap away. */
const SHOWN = 4;

const STATES: [string, (one: OpenMakeSafe) => boolean][] = [
  [MAKE_SAFE_BANNER.nobodyHas, (one) => one.hasIt === null],
  [
    MAKE_SAFE_BANNER.somebodyHasNotIsolated,
    (one) => one.hasIt !== null && one.isolatedSince === null && one.step !== "authorised",
  ],
  ["isolated", (one) => one.isolatedSince !== null],
  [MAKE_SAFE_BANNER.onWatchAfterRe, (one) => one.step === "authorised"],
];

/** Emergencies: those under way with their state and who has them, and what the list calls for beside them. */
export function MakeSafeBanner({ view }: { view: RankedSitesView }) {
  const { makeSafe, byUrgency, openMakeSafes } = view;
  const open = new Set(openMakeSafes.map((one) => one.siteId));
  const others = makeSafe.filter((site) => !open.has(site.siteId));
  if (openMakeSafes.length === 0 && makeSafe.length === 0) return null;
  const more = byUrgency.make_safe - makeSafe.length;
  const sites = Math.max(byUrgency.make_safe, openMakeSafes.length);
  return (
    <section className="banner" aria-label={MAKE_SAFE_BANNER.sitesToMakeSafe}>
      <Urgency value="make_safe" />{" "}
      <strong>
        {MAKE_SAFE_BANNER.nowKeepPeopleOff(sites === 1 ? MAKE_SAFE_BANNER.site : MAKE_SAFE_BANNER.sites(sites))}
      </strong>
      <p className="band-counts">
        {STATES.map(([name, is]) => {
          const n = openMakeSafes.filter(is).length;
          return n > 0 ? <span key={name}>{`${n} ${name}`}</span> : null;
        })}
      </p>
      <ul>
        {openMakeSafes.slice(0, SHOWN).map((one) => (
          <OpenLine key={one.makeSafeId} one={one} />
        ))}
        {others.slice(0, Math.max(0, SHOWN - openMakeSafes.length)).map((site) => (
          <li key={site.siteId}>
            <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>{site.name}</Link>: {site.reason}
          </li>
        ))}
        {openMakeSafes.length === 0 && more > 0 ? <li>{MAKE_SAFE_BANNER.andMoreFirstIn(more)}</li> : null}
      </ul>
      {openMakeSafes.length > SHOWN ? (
        <details>
          <summary>{MAKE_SAFE_BANNER.theOtherWithWho(openMakeSafes.length - SHOWN)}</summary>
          <ul>
            {openMakeSafes.slice(SHOWN).map((one) => (
              <OpenLine key={one.makeSafeId} one={one} />
            ))}
          </ul>
        </details>
      ) : null}
    </section>
  );
}

function OpenLine({ one }: { one: OpenMakeSafe }) {
  return (
    <li data-open-make-safe={one.siteId}>
      <Link href={`/sites/${encodeURIComponent(one.siteId)}`}>{one.siteName}</Link>{" "}
      <strong>{one.hasIt ? MAKE_SAFE_BANNER.hasIt(one.hasIt) : MAKE_SAFE_BANNER.nobodyHasIt}</strong>,{" "}
      {STEP_WORDS[one.step].toLowerCase()}
      {one.next ? MAKE_SAFE_BANNER.next(STEP_WORDS[one.next].toLowerCase()) : ""} <Isolated since={one.isolatedSince} />
      <br />
      <span className="soft">{MAKE_SAFE_BANNER.alertOf(one.reason, utcTime(one.openedAt))}</span>
    </li>
  );
}
