import type { Metadata } from "next";
import { TOKENS_PAGE } from "@/app/_words/access.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readTokens } from "@/lib/reads/api-tokens.ts";
import { AccessNav } from "../access-nav.tsx";
import { TokensView } from "./tokens-view.tsx";

export const metadata: Metadata = { title: TOKENS_PAGE.tokens };
export const dynamic = "force-dynamic";

export default async function TokensPage() {
  const view = await readTokens(await currentActor());
  return (
    <>
      <AccessNav at="tokens" />
      <TokensView view={view} />
    </>
  );
}
