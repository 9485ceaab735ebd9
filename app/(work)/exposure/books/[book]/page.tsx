import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { BOOKS_ONE_PAGE } from "@/app/_words/exposure.ts";
import { AppError } from "@/lib/core/app-error.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readExposureView } from "@/lib/reads/exposure.ts";
import { BookView } from "./book-view.tsx";

export const metadata: Metadata = { title: BOOKS_ONE_PAGE.exposureOfABook };
export const dynamic = "force-dynamic";

export default async function BookPage({ params }: { params: Promise<{ book: string }> }) {
  const book = decodeURIComponent((await params).book);
  const view = await readExposureView(await currentActor(), { book }).catch((error: unknown) => {
    if (error instanceof AppError && error.code === "not_found") notFound();
    throw error;
  });
  return <BookView view={view} book={book} />;
}
