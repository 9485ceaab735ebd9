export default function NotFound() {
  return (
    <main className="body">
      <h1>This link opens nothing</h1>
      <p>It may be over, or it was revoked. Ask whoever gave it to you for a new one.</p>
    </main>
  );
}
