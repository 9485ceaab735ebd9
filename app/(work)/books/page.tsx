import type { Metadata } from "next";
import { BOOKS_PAGE } from "@/app/_words/books.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readBooks } from "@/lib/reads/books.ts";
import { BooksView } from "./books-view.tsx";

export const metadata: Metadata = { title: BOOKS_PAGE.books };
export const dynamic = "force-dynamic";

export default async function BooksPage() {
  return <BooksView view={await readBooks(await currentActor(), Date.now())} />;
}
