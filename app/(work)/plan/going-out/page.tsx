import type { Metadata } from "next";
import { GOING_OUT_PAGE } from "@/app/_words/plan.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readGoingOut } from "@/lib/reads/going-out.ts";
import { GoingOut } from "./going-out.tsx";

export const metadata: Metadata = { title: GOING_OUT_PAGE.whoIsTold };
export const dynamic = "force-dynamic";

export default async function GoingOutPage() {
  return <GoingOut initial={await readGoingOut(await currentActor())} />;
}
