import type { Metadata } from "next";
import { JOIN_PAGE } from "@/app/_words/sign-in.ts";
import { JoinView } from "./join-view.tsx";

export const metadata: Metadata = { title: JOIN_PAGE.join };

// The link's secret stands after the #, which browsers never send: it is in no log and no address of another page.
export default function JoinPage() {
  return <JoinView />;
}
