import type { Metadata } from "next";
import { CALIBRATION_PAGE } from "@/app/_words/calibration.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readCalibration } from "@/lib/reads/calibration.ts";
import { CalibrationView } from "./calibration-view.tsx";

export const metadata: Metadata = { title: CALIBRATION_PAGE.calibration };
export const dynamic = "force-dynamic";

// Rendered on the server; only the diagram is a client component.
export default async function CalibrationPage() {
  return <CalibrationView view={await readCalibration(await currentActor())} />;
}
