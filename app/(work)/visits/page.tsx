import type { Metadata } from "next";
import { currentActor } from "@/lib/reads/actor.ts";
import { readVisits } from "@/lib/reads/visits.ts";
import { VisitsView } from "./visits-view.tsx";

export const metadata: Metadata = { title: "Visits" };
export const dynamic = "force-dynamic";

// Rendered on the server.
export default async function VisitsPage() {
  return <VisitsView view={await readVisits(await currentActor())} />;
}
