import { redirect } from "next/navigation";
import { authorise } from "@/lib/core/permissions.ts";
import { currentActor } from "@/lib/reads/actor.ts";

export default async function AccessPage() {
  authorise(await currentActor(), "people.manage");
  redirect("/access/people");
}
