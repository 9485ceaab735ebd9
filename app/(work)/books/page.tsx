import type { Metadata } from "next";
import { currentActor } from "@/lib/reads/actor.ts";
import { readBooks } from "@/lib/reads/books.ts";
import { BooksView } from "./books-view.tsx";

export const metadata: Metadata = { title: "Books" };
export const dynamic = "force-dynamic";

export default async function BooksPage() {
  return <BooksView view={await readBooks(await currentActor(), Date.now())} />;
}
