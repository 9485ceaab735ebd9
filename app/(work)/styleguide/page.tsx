import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { currentActor } from "@/lib/reads/actor.ts";
import { Styleguide } from "./styleguide.tsx";

export const metadata: Metadata = { title: "Styleguide" };
export const dynamic = "force-dynamic";

// For who works on the pages: every shared component in its states. A built server has no such page.
export default async function StyleguidePage() {
  if (process.env.NODE_ENV === "production") notFound();
  await currentActor();
  return <Styleguide />;
}
