import type { Metadata } from "next";
import { PARAMETERS_PAGE } from "@/app/_words/parameters.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readParameters } from "@/lib/reads/parameters.ts";
import { ParametersView } from "./parameters-view.tsx";

export const metadata: Metadata = { title: PARAMETERS_PAGE.parameters };
export const dynamic = "force-dynamic";

// Rendered on the server; editing, the preview and saving are client components.
export default async function ParametersPage() {
  return <ParametersView view={await readParameters(await currentActor())} />;
}
