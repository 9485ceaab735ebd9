import type { Metadata } from "next";
import { COVERAGE_PAGE } from "@/app/_words/coverage.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { CoverageQuery, readCoverage } from "@/lib/reads/coverage.ts";
import { RegisterView } from "./register-view.tsx";

export const metadata: Metadata = { title: COVERAGE_PAGE.coverage };
export const dynamic = "force-dynamic";

// Rendered on the server; the forms are client components and ask for the page anew once something is stored.
export default async function CoveragePage({ searchParams }: { searchParams: Promise<Record<string, string>> }) {
  const { book, find } = await searchParams;
  const query = CoverageQuery.safeParse({ book, find });
  return <RegisterView view={await readCoverage(await currentActor(), query.success ? query.data : {}, Date.now())} />;
}
