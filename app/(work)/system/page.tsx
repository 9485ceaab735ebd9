import type { Metadata } from "next";
import { SYSTEM_PAGE } from "@/app/_words/system.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readSystem } from "@/lib/reads/system.ts";
import { SystemState } from "./system-state.tsx";

export const metadata: Metadata = { title: SYSTEM_PAGE.system };
export const dynamic = "force-dynamic";

export default async function SystemPage() {
  return <SystemState view={await readSystem(await currentActor())} />;
}
