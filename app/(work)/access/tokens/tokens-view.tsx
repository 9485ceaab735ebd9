"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { utcTime } from "@/app/_ui/format.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { Wide } from "@/app/_ui/wide.tsx";
import type { TokensView as View } from "@/lib/reads/api-tokens-view.ts";
import { type NewToken, TokenForm } from "./token-form.tsx";

export function TokensView({ view }: { view: View }) {
  const router = useRouter();
  const [says, setSays] = useState("");
  const [made, setMade] = useState<string | null>(null);
  const run = async (work: () => Promise<string>): Promise<boolean> => {
    try {
      setSays(await work());
      router.refresh();
      return true;
    } catch (error) {
      setSays((error as Error).message);
      return false;
    }
  };
  const make = (token: NewToken) =>
    run(async () => {
      const reply = await postJson<{ token: string }>("/api/pages/tokens", token);
      setMade(reply.token);
      return "The token was made.";
    });
  const revoke = (tokenId: string) =>
    run(async () => {
      await postJson(`/api/pages/tokens/${encodeURIComponent(tokenId)}/revoke`, {});
      setMade(null);
      return "The token no longer works.";
    });
  return (
    <>
      <h1>Tokens</h1>
      <p className="soft">
        For programs that use the HTTP API (<a href="/api/v1/openapi.json">its description</a>). Only a hash of a token
        is stored.
      </p>
      <p role="status">{says}</p>
      {made ? (
        <div className="note">
          <p>Copy it now; it is not shown again. Whoever has it can use it.</p>
          <p>
            <input type="text" readOnly aria-label="Token" value={made} onFocus={(e) => e.currentTarget.select()} />
          </p>
        </div>
      ) : null}
      <details>
        <summary>Make a token</summary>
        <TokenForm portfolios={view.portfolios} make={make} />
      </details>
      {view.tokens.length === 0 ? (
        <p className="empty">No token was made yet. Without one, only signed-in people use the API.</p>
      ) : (
        <TokenTable view={view} revoke={revoke} />
      )}
    </>
  );
}

function TokenTable({ view, revoke }: { view: View; revoke: (tokenId: string) => void }) {
  return (
    <Wide label="Tokens">
      <table className="ranked">
        <thead>
          <tr>
            <th scope="col">Name</th>
            <th scope="col">May</th>
            <th scope="col">Held to</th>
            <th scope="col">Made</th>
            <th scope="col">Works</th>
            <th scope="col">End it</th>
          </tr>
        </thead>
        <tbody>
          {view.tokens.map((t) => (
            <tr key={t.tokenId} data-token={t.tokenId}>
              <td>
                {t.name} <span className="soft">{t.tokenId}</span>
              </td>
              <td data-label="May">{t.scopes.join(", ")}</td>
              <td data-label="Held to">{t.portfolios ? t.portfolios.join(", ") : "all books"}</td>
              <td data-label="Made">
                {utcTime(t.madeAt)} by {t.madeBy}
              </td>
              <td data-label="Works">
                {t.works
                  ? `until ${utcTime(t.expiresAt)}`
                  : t.revokedAt
                    ? `revoked ${utcTime(t.revokedAt)}`
                    : "expired"}
              </td>
              <td>
                {t.works ? (
                  <button type="button" className="button" onClick={() => revoke(t.tokenId)}>
                    Revoke {t.name}
                  </button>
                ) : null}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
