"use client";

export default function WorkError({ error, reset }: { error: Error & { digest?: string }; reset: () => void }) {
  if (error.digest === "forbidden") return <Forbidden />;
  return (
    <div role="alert">
      <h1>This page could not be shown</h1>
      <p>
        The database may be restarting, or something went wrong inside Raintrip. Nothing you stored is lost. Try again;
        if it stays, run <code>npm run raintrip -- doctor</code> and look at the server’s output
        {error.digest ? ` for ${error.digest}` : ""}.
      </p>
      <button type="button" className="button" onClick={reset}>
        Try again
      </button>
    </div>
  );
}

function Forbidden() {
  return (
    <div role="alert" data-forbidden>
      <h1>Your role does not open this page</h1>
      <p>What you may see and do is set by an administrator under Access. Ask one if you need this page.</p>
      <p>
        <a href="/sites">To the ranked sites</a>
      </p>
    </div>
  );
}
