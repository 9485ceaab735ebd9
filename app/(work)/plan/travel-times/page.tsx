import type { Metadata } from "next";
import Link from "next/link";
import { TRAVEL_TIMES_PAGE } from "@/app/_words/plan.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readTravelTimesView } from "@/lib/reads/travel-times.ts";
import type { TravelTimesView } from "@/lib/reads/travel-times-view.ts";
import { TravelTimesForm } from "./travel-times-form.tsx";

export const metadata: Metadata = { title: TRAVEL_TIMES_PAGE.drivingTimes };
export const dynamic = "force-dynamic";

const count = (n: number, one: string) => `${n.toLocaleString("en-US")} ${one}${n === 1 ? "" : "s"}`;

export default async function TravelTimesPage() {
  const view = await readTravelTimesView(await currentActor());
  return (
    <>
      <h1>{TRAVEL_TIMES_PAGE.drivingTimes}</h1>
      <p className="soft">
        {TRAVEL_TIMES_PAGE.plansDriveByYour} <Link href="/plan">{TRAVEL_TIMES_PAGE.plans}</Link>
      </p>
      <p>
        {view.own > 0 ? TRAVEL_TIMES_PAGE.ofYourOwnAre(count(view.own, "way")) : TRAVEL_TIMES_PAGE.noTimesOfYour}{" "}
        {view.asked > 0 ? TRAVEL_TIMES_PAGE.aRoutingServerGave(count(view.asked, "way")) : null}
        {view.asked === 0 && !view.service ? TRAVEL_TIMES_PAGE.noRoutingServerIs : null}
      </p>
      <Lacking view={view} />
      <TravelTimesForm own={view.own} />
    </>
  );
}

function Lacking({ view }: { view: TravelTimesView }) {
  if (view.places < 2) return <p className="empty">{TRAVEL_TIMES_PAGE.noVisitIsQueued}</p>;
  if (view.lacking === 0) return <p>{TRAVEL_TIMES_PAGE.everyWayBetweenThe(view.places)}</p>;
  return (
    <p className={view.own + view.asked > 0 ? "note gap" : "note"}>
      {TRAVEL_TIMES_PAGE.ofBetweenThePlaces(
        count(view.ways, "way"),
        view.places,
        view.lacking.toLocaleString("en-US"),
        view.examples.join("; "),
      )}{" "}
      <a href="/api/pages/travel-times/lacking">{TRAVEL_TIMES_PAGE.theLackingWaysAs}</a>
    </p>
  );
}
