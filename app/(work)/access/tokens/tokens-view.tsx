"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { Dialog } from "@/app/_ui/dialog.tsx";
import { postJson } from "@/app/_ui/post-json.ts";
import { Empty } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { TOKENS_VIEW } from "@/app/_words/access.ts";
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
      return TOKENS_VIEW.theTokenWasMade;
    });
  const revoke = (tokenId: string) =>
    run(async () => {
      await postJson(`/api/pages/tokens/${encodeURIComponent(tokenId)}/revoke`, {});
      setMade(null);
      return TOKENS_VIEW.theTokenNoLonger;
    });
  return (
    <>
      <h1>{TOKENS_VIEW.tokens}</h1>
      <p className="soft">
        {TOKENS_VIEW.forProgramsThatUse}
        <a href="/api/v1/openapi.json">{TOKENS_VIEW.itsDescription}</a>
        {TOKENS_VIEW.onlyAHashOf}
      </p>
      <p role="status">{says}</p>
      {made ? (
        <div className="note">
          <p>{TOKENS_VIEW.copyItNowIt}</p>
          <p>
            <input
              type="text"
              readOnly
              aria-label={TOKENS_VIEW.token}
              value={made}
              onFocus={(e) => e.currentTarget.select()}
            />
          </p>
        </div>
      ) : null}
      <details>
        <summary>{TOKENS_VIEW.makeAToken}</summary>
        <TokenForm portfolios={view.portfolios} make={make} />
      </details>
      {view.tokens.length === 0 ? (
        <Empty>{TOKENS_VIEW.noTokenWasMade}</Empty>
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
        label={TOKENS_VIEW.tokens}
        className="ranked"
        rowData={(t) => ({ "data-token": t.tokenId })}
        columns={[
          {
            name: TOKENS_VIEW.name,
            cell: (t) => (
              <>
                {t.name} <span className="soft">{t.tokenId}</span>
              </>
            ),
          },
          { name: TOKENS_VIEW.may, label: TOKENS_VIEW.may, cell: (t) => t.scopes.join(", ") },
          {
            name: TOKENS_VIEW.heldTo,
            label: TOKENS_VIEW.heldTo,
            cell: (t) => (t.portfolios ? t.portfolios.join(", ") : TOKENS_VIEW.allBooks),
          },
          {
            name: TOKENS_VIEW.made,
            label: TOKENS_VIEW.made,
            cell: (t) => (
              <>
                <When at={t.madeAt} /> {TOKENS_VIEW.by(t.madeBy)}
              </>
            ),
          },
          {
            name: TOKENS_VIEW.works,
            label: TOKENS_VIEW.works,
            cell: (t) =>
              t.works ? (
                <>
                  {TOKENS_VIEW.until} <When at={t.expiresAt} />
                </>
              ) : t.revokedAt ? (
                <>
                  {TOKENS_VIEW.revoked} <When at={t.revokedAt} />
                </>
              ) : (
                TOKENS_VIEW.expired
              ),
          },
          {
            name: TOKENS_VIEW.endIt,
            cell: (t) =>
              t.works ? (
                <button type="button" className="button" onClick={() => setAsked(t)}>
                  {TOKENS_VIEW.revoke(t.name)}
                </button>
              ) : null,
          },
        ]}
        rows={view.tokens}
        keyOf={(t) => t.tokenId}
      />
      <Dialog
        isOpen={asked !== null}
        title={TOKENS_VIEW.revoke2(asked?.name)}
        onClose={() => setAsked(null)}
        closeSays={TOKENS_VIEW.keepIt}
        actions={
          <button
            type="button"
            className="button main"
            onClick={() => {
              if (asked) revoke(asked.tokenId);
              setAsked(null);
            }}
          >
            {TOKENS_VIEW.revokeIt}
          </button>
        }
      >
        <p>{TOKENS_VIEW.everyProgramThatUses}</p>
      </Dialog>
    </>
  );
}
