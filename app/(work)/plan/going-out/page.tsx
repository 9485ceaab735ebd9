import type { Metadata } from "next";
import { currentActor } from "@/lib/reads/actor.ts";
import { readGoingOut } from "@/lib/reads/going-out.ts";
import { GoingOut } from "./going-out.tsx";

export const metadata: Metadata = { title: "Who is told" };
export const dynamic = "force-dynamic";

export default async function GoingOutPage() {
  return <GoingOut initial={await readGoingOut(await currentActor())} />;
}
