import type { Metadata } from "next";
import { EXPOSURE_PAGE } from "@/app/_words/exposure.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readExposureView } from "@/lib/reads/exposure.ts";
import { ExposureView } from "./exposure-view.tsx";

export const metadata: Metadata = { title: EXPOSURE_PAGE.exposure };
export const dynamic = "force-dynamic";

// Rendered on the server; the run, the curve and the what-ifs are client components.
export default async function ExposurePage() {
  return <ExposureView view={await readExposureView(await currentActor(), {})} />;
}
