import type { Metadata } from "next";
import Link from "next/link";
import { currentActor } from "@/lib/reads/actor.ts";
import { readTravelTimesView } from "@/lib/reads/travel-times.ts";
import type { TravelTimesView } from "@/lib/reads/travel-times-view.ts";
import { TravelTimesForm } from "./travel-times-form.tsx";

export const metadata: Metadata = { title: "Driving times" };
export const dynamic = "force-dynamic";

const count = (n: number, one: string) => `${n.toLocaleString("en-US")} ${one}${n === 1 ? "" : "s"}`;

export default async function TravelTimesPage() {
  const view = await readTravelTimesView(await currentActor());
  return (
    <>
      <h1>Driving times</h1>
      <p className="soft">
        Plans drive by your own times first, then by those of a routing server, then by the great circle times a road
        factor. <Link href="/plan">Plans</Link>
      </p>
      <p>
        {view.own > 0 ? `${count(view.own, "way")} of your own are stored.` : "No times of your own are stored."}{" "}
        {view.asked > 0 ? `A routing server gave ${count(view.asked, "way")}.` : null}
        {view.asked === 0 && !view.service ? "No routing server is set up; README says how." : null}
      </p>
      <Lacking view={view} />
      <TravelTimesForm own={view.own} />
    </>
  );
}

function Lacking({ view }: { view: TravelTimesView }) {
  if (view.places < 2) return <p className="empty">No visit is queued, or no crew recorded: nothing to drive yet.</p>;
  if (view.lacking === 0)
    return <p>Every way between the {view.places} places of the queue and the crews’ bases is known.</p>;
  return (
    <p className={view.own + view.asked > 0 ? "note gap" : "note"}>
      Of {count(view.ways, "way")} between the {view.places} places of the queue and the crews’ bases{" "}
      {view.lacking.toLocaleString("en-US")} are not given, such as {view.examples.join("; ")}. There the great circle
      is taken, and each plan says so.{" "}
      <a href="/api/pages/travel-times/lacking">The lacking ways as a file to fill in</a>
    </p>
  );
}
