import type { Metadata } from "next";
import { SIGN_IN_PAGE } from "@/app/_words/sign-in.ts";
import { readSignInChoices } from "@/lib/reads/sign-in-choices.ts";
import { SignInView } from "./sign-in-view.tsx";

export const metadata: Metadata = { title: SIGN_IN_PAGE.signIn };
export const dynamic = "force-dynamic";

export default async function SignInPage({
  searchParams,
}: {
  searchParams: Promise<{ to?: string; problem?: string }>;
}) {
  const { to, problem } = await searchParams;
  return (
    <SignInView
      choices={await readSignInChoices()}
      to={typeof to === "string" ? to : null}
      problem={typeof problem === "string" ? problem : null}
    />
  );
}
