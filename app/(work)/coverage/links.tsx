"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { Table } from "@/app/_ui/table.tsx";
import { When } from "@/app/_ui/when.tsx";
import { LINKS } from "@/app/_words/coverage.ts";
import type { LinkLine } from "@/lib/reads/coverage-view.ts";
import { Field, PostForm } from "./post-form.tsx";
import { textOf } from "./send-paper.ts";

interface Props {
  /** What the link shows: the calendar of a book, or the evidence of a site. */
  to: { kind: "calendar"; book: string } | { kind: "site"; siteId: string };
  links: LinkLine[];
}

/** Links that show one thing without sign-in. A new one is shown this once: only its hash is kept. */
export function Links({ to, links }: Props) {
  const router = useRouter();
  const [path, setPath] = useState<string | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  const make = async (form: FormData) => {
    const days = to.kind === "site" ? { days: Number(form.get("days")) } : {};
    const body = { ...to, ...days, madeFor: textOf(form, "madeFor") };
    const made = await postJson<{ path: string }>("/api/pages/coverage/links", body);
    setPath(made.path);
    return LINKS.madeCopyItNow;
  };
  const revoke = async (linkId: string) => {
    setTrouble(null);
    try {
      await postJson("/api/pages/coverage/links/revoke", { linkId });
      router.refresh();
    } catch (error) {
      setTrouble((error as Error).message);
    }
  };
  return (
    <>
      <PostForm name={to.kind === "site" ? "New link" : "New calendar link"} button={LINKS.makeALink} send={make}>
        <Field label={LINKS.forWhom} name="madeFor" required />
        {to.kind === "site" ? (
          <Field label={LINKS.daysItOpens} name="days" type="number" min={1} max={180} value="14" required />
        ) : null}
      </PostForm>
      {path ? (
        <p className="note" data-new-link={path}>
          <a href={path}>{path}</a>
          <br />
          {LINKS.putThisInstallationsAddress}
        </p>
      ) : null}
      {links.length > 0 ? (
        <Table
          label={LINKS.links}
          className="roomy"
          columns={[
            { name: LINKS.for, cell: (l) => l.madeFor },
            {
              name: LINKS.made,
              cell: (l) => (
                <>
                  <When at={l.madeAt} /> {LINKS.by(l.madeBy)}
                </>
              ),
            },
            { name: LINKS.opensUntil, cell: (l) => (l.expiresAt ? <When at={l.expiresAt} /> : LINKS.revoked) },
            { name: LINKS.state, cell: (l) => l.state },
            {
              name: LINKS.revoke,
              cell: (l) =>
                l.state === "open" ? (
                  <button type="button" className="button" onClick={() => revoke(l.linkId)}>
                    {LINKS.revoke}
                  </button>
                ) : (
                  LINKS.done
                ),
            },
          ]}
          rows={links}
          keyOf={(l) => l.linkId}
        />
      ) : null}
      <Trouble says={trouble} />
    </>
  );
}
