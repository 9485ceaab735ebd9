import Link from "next/link";

export default function SiteNotFound() {
  return (
    <>
      <h1>No such site, or not scored yet</h1>
      <p>
        Right after an import a new site takes a little while to get its first score. If it stays away, look at the
        import.
      </p>
      <p>
        <Link href="/sites">To the ranked sites</Link> · <Link href="/imports">To the imports</Link>
      </p>
    </>
  );
}
