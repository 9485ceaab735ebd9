import type { Metadata } from "next";
import { JOIN_PAGE } from "@/app/_words/sign-in.ts";
import { readSignInChoices } from "@/lib/reads/sign-in-choices.ts";
import { JoinView } from "./join-view.tsx";

export const metadata: Metadata = { title: JOIN_PAGE.join };
export const dynamic = "force-dynamic";

// The link's secret stands after the #, which browsers never send: it is in no log and no address of another page.
export default async function JoinPage({ searchParams }: { searchParams: Promise<{ problem?: string }> }) {
  const { problem } = await searchParams;
  const { provider } = await readSignInChoices();
  return <JoinView provider={provider} problem={typeof problem === "string" ? problem : null} />;
}
