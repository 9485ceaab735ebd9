import type { Metadata } from "next";
import { PEOPLE_PAGE } from "@/app/_words/access.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readPeople } from "@/lib/reads/people.ts";
import { AccessNav } from "../access-nav.tsx";
import { PeopleView } from "./people-view.tsx";

export const metadata: Metadata = { title: PEOPLE_PAGE.people };
export const dynamic = "force-dynamic";

export default async function PeoplePage() {
  const view = await readPeople(await currentActor());
  return (
    <>
      <AccessNav at="people" />
      <PeopleView view={view} />
    </>
  );
}
