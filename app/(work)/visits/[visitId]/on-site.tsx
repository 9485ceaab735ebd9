"use client";

import { words } from "@/app/_ui/format.ts";
import { ON_SITE } from "@/app/_words/visit.ts";
import { DEFAULT_STAY_HOURS, peopleOnSite } from "@/lib/visit/check-out.ts";
import { WHOLE_VISIT } from "@/lib/visit/signature.ts";
import { nextVisitStates, stateLacks, VISIT_STATES, type VisitState } from "@/lib/visit/visit-state.ts";
import { Choice } from "./choice.tsx";
import { Note } from "./note.tsx";
import { fieldOf, type VisitLog } from "./use-visit-log.ts";
import type { Worker } from "./worker-fields.tsx";

const STATE_WORDS: Record<VisitState, string> = {
  planned: ON_SITE.planned,
  arrived: ON_SITE.arrived,
  go: ON_SITE.goWeatherAndAccess,
  no_go: ON_SITE.noGoWeatherOr,
  working: ON_SITE.startWork,
  stop_work: ON_SITE.stopWork,
  left_site: ON_SITE.workIsOverThe,
  checked_out: ON_SITE.checkOut,
};
const RIGHT = [
  ["", ON_SITE.notSaid],
  ["right", "right"],
  ["wrong", ON_SITE.notRight],
];
const STEP_MINUTES = 30;

interface Props {
  log: VisitLog;
  worker: Worker;
  stopStands: boolean;
  hoursOnSite: number;
}

/** Where one is in the visit: arrival, go or no-go, work, stop, leaving, check-out. */
export function OnSite({ log, worker, stopStands, hoursOnSite }: Props) {
  const said = (field: string) => fieldOf(log.edits, WHOLE_VISIT, field, worker.name).own;
  const write = (field: string, value: string) => log.write(WHOLE_VISIT, field, value, worker.name);
  const state = VISIT_STATES.find((one) => one === said("state")) ?? "planned";
  const next = nextVisitStates(state, stopStands);
  const all = {
    ...{ weather: said("weather"), access: said("access") },
    ...{ stopReason: said("stop_reason"), left: said("left") },
  };
  const take = async (to: VisitState) => {
    await write("state", to);
    if (to === "arrived") await write("leave_by", String(Date.now() + (hoursOnSite || DEFAULT_STAY_HOURS) * 3_600_000));
    // What was right before work stopped is said anew before it goes on.
    if (to === "no_go" || to === "stop_work") {
      await write("weather", "");
      await write("access", "");
    }
  };
  const judges = next.includes("go") || next.includes("no_go");
  const lacks = [...new Set(next.map((to) => stateLacks(to, all)).filter((why) => why !== null))];
  return (
    <section aria-label={ON_SITE.visit}>
      <h2>{ON_SITE.now(words(state))}</h2>
      {judges && !stopStands ? (
        <>
          <p>{ON_SITE.windLightningRainFrost}</p>
          <Choice label={ON_SITE.weatherForThisWork} value={all.weather} onPick={(value) => write("weather", value)}>
            {RIGHT}
          </Choice>
          <Choice label={ON_SITE.access} value={all.access} onPick={(value) => write("access", value)}>
            {RIGHT}
          </Choice>
        </>
      ) : null}
      {next.includes("stop_work") ? (
        <Note itemId={WHOLE_VISIT} field="stop_reason" label={ON_SITE.whyWorkStopsWhen} log={log} worker={worker} />
      ) : null}
      <div className="big-buttons">
        {next.map((to) => (
          <button key={to} type="button" disabled={stateLacks(to, all) !== null} onClick={() => take(to)}>
            {STATE_WORDS[to]}
          </button>
        ))}
      </div>
      {lacks.map((why) => (
        <p key={why}>{why}</p>
      ))}
      <LeaveBy log={log} worker={worker} hoursOnSite={hoursOnSite} write={write} />
    </section>
  );
}

const clock = (at: number) =>
  new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });

function LeaveBy({
  log,
  worker,
  hoursOnSite,
  write,
}: Omit<Props, "stopStands"> & { write: (field: string, value: string) => Promise<void> }) {
  const people = peopleOnSite(log.edits, hoursOnSite || null).filter(
    ({ state }) => state !== "planned" && state !== "checked_out",
  );
  const own = people.find((person) => person.by === worker.name.trim());
  const later = (minutes: number) =>
    own?.leaveBy ? write("leave_by", String(own.leaveBy + minutes * 60_000)) : undefined;
  return (
    <>
      {people.map((person) => (
        <p key={person.by}>
          {ON_SITE.withoutACheckOut(
            person.by,
            words(person.state),
            person.leaveBy ? ON_SITE.toLeaveByBy(clock(person.leaveBy)) : "",
          )}
        </p>
      ))}
      {own ? (
        <div className="big-buttons">
          <button type="button" onClick={() => later(STEP_MINUTES)}>
            {ON_SITE.minLater(STEP_MINUTES)}
          </button>
          <button type="button" onClick={() => later(-STEP_MINUTES)}>
            {ON_SITE.minEarlier(STEP_MINUTES)}
          </button>
        </div>
      ) : null}
    </>
  );
}
