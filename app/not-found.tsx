import Link from "next/link";

export default function NotFound() {
  return (
    <main className="body">
      <h1>There is nothing here</h1>
      <p>The address is wrong, or what it named is gone.</p>
      <p>
        <Link href="/sites">To the ranked sites</Link>
      </p>
    </main>
  );
}
