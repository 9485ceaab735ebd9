import type { Metadata } from "next";
import { CALENDAR_PAGE } from "@/app/_words/coverage.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { CalendarQuery, readDeadlineCalendar } from "@/lib/reads/coverage.ts";
import { MonthView } from "./month-view.tsx";

export const metadata: Metadata = { title: CALENDAR_PAGE.deadlinesByMonth };
export const dynamic = "force-dynamic";

export default async function CalendarPage({ searchParams }: { searchParams: Promise<Record<string, string>> }) {
  const { book, month } = await searchParams;
  const query = CalendarQuery.safeParse({ book, month });
  return (
    <MonthView view={await readDeadlineCalendar(await currentActor(), query.success ? query.data : {}, Date.now())} />
  );
}
