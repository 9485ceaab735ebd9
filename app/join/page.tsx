import type { Metadata } from "next";
import { JoinView } from "./join-view.tsx";

export const metadata: Metadata = { title: "Join" };

// The link's secret stands after the #, which browsers never send: it is in no log and no address of another page.
export default function JoinPage() {
  return <JoinView />;
}
