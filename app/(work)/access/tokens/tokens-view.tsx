"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { Dialog } from "@/app/_ui/dialog.tsx";
import { postJson } from "@/app/_ui/post-json.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
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
        <Empty>No token was made yet. Without one, only signed-in people use the API.</Empty>
      ) : (
        <TokenTable view={view} revoke={revoke} />
      )}
    </>
  );
}

function TokenTable({ view, revoke }: { view: View; revoke: (tokenId: string) => void }) {
  const [asked, setAsked] = useState<View["tokens"][number] | null>(null);
  return (
    <>
      <Table
        label="Tokens"
        className="ranked"
        rowData={(t) => ({ "data-token": t.tokenId })}
        columns={[
          {
            name: "Name",
            cell: (t) => (
              <>
                {t.name} <span className="soft">{t.tokenId}</span>
              </>
            ),
          },
          { name: "May", label: "May", cell: (t) => t.scopes.join(", ") },
          { name: "Held to", label: "Held to", cell: (t) => (t.portfolios ? t.portfolios.join(", ") : "all books") },
          {
            name: "Made",
            label: "Made",
            cell: (t) => (
              <>
                <When at={t.madeAt} /> by {t.madeBy}
              </>
            ),
          },
          {
            name: "Works",
            label: "Works",
            cell: (t) =>
              t.works ? (
                <>
                  until <When at={t.expiresAt} />
                </>
              ) : t.revokedAt ? (
                <>
                  revoked <When at={t.revokedAt} />
                </>
              ) : (
                "expired"
              ),
          },
          {
            name: "End it",
            cell: (t) =>
              t.works ? (
                <button type="button" className="button" onClick={() => setAsked(t)}>
                  Revoke {t.name}
                </button>
              ) : null,
          },
        ]}
        rows={view.tokens}
        keyOf={(t) => t.tokenId}
      />
      <Dialog
        isOpen={asked !== null}
        title={`Revoke ${asked?.name}?`}
        onClose={() => setAsked(null)}
        closeSays="Keep it"
        actions={
          <button
            type="button"
            className="button main"
            onClick={() => {
              if (asked) revoke(asked.tokenId);
              setAsked(null);
            }}
          >
            Revoke it
          </button>
        }
      >
        <p>
          Every program that uses it is refused from now on. It cannot be made to work again; make a new one instead.
        </p>
      </Dialog>
    </>
  );
}
