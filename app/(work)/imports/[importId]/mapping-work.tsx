"use client";

import { useMutation, useQuery } from "@tanstack/react-query";
import { useCallback, useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { MAPPING_WORK } from "@/app/_words/imports.ts";
import type { Mapping, StartImport, WaitingFile } from "@/lib/reads/import-mapping-view.ts";
import { FileMapping } from "./file-mapping.tsx";

/** What was settled of a file: how it is read, and the name it is remembered by. */
interface Settled {
  mapping: Mapping;
  ready: boolean;
  remember: string | null;
}

/** Files of an upload that nothing tells how to read: asked about one by one, then imported together. */
export function MappingWork({ importId, onStarted }: { importId: string; onStarted: () => void }) {
  const base = `/api/pages/imports/${encodeURIComponent(importId)}`;
  const [settled, setSettled] = useState<Record<string, Settled>>({});
  const [unread, setUnread] = useState<string[]>([]);
  const { data, error } = useQuery({
    queryKey: ["import-files", importId],
    queryFn: async () => {
      const reply = await fetch(`${base}/mapping`);
      if (!reply.ok) throw new Error(MAPPING_WORK.theFilesOfThis(reply.status));
      return (await reply.json()) as WaitingFile[];
    },
    staleTime: Number.POSITIVE_INFINITY,
  });
  const begin = useMutation({
    mutationFn: (body: StartImport) => postJson(`${base}/start`, body),
    onSuccess: onStarted,
  });
  const settle = useCallback(
    (file: string, said: Settled) => setSettled((before) => ({ ...before, [file]: said })),
    [],
  );
  if (error) return <Trouble says={error.message} />;
  if (!data) return <p role="status">{MAPPING_WORK.readingTheFiles}</p>;
  const asked = data.filter((f) => f.readAs === null);
  const known = data.filter((f) => f.readAs !== null);
  const waitsFor = asked.filter((f) => !unread.includes(f.file) && !settled[f.file]?.ready).map((f) => f.file);
  const start = () =>
    begin.mutate({
      files: Object.fromEntries(
        asked.map(({ file }) => {
          const said = unread.includes(file) ? undefined : settled[file];
          return [file, { mapping: said?.mapping ?? null, remember: said?.remember || null }];
        }),
      ),
    });
  return (
    <>
      <p className="note">
        {MAPPING_WORK.nothingIsStoredYet(asked.length === 1 ? MAPPING_WORK.thisFileIs : MAPPING_WORK.theseFilesAre)}
      </p>
      {known.length > 0 ? (
        <p className="soft">
          {MAPPING_WORK.plainByThemselves(known.map((f) => `${f.file} as ${f.readAs}`).join(", "))}
        </p>
      ) : null}
      {asked.map(({ file }) => (
        <section key={file} aria-label={file} className="panel mapping">
          <h2 className="first">{file}</h2>
          {asked.length + known.length > 1 ? (
            <label className="tick">
              <input
                type="checkbox"
                checked={unread.includes(file)}
                onChange={(event) =>
                  setUnread((before) => (event.target.checked ? [...before, file] : before.filter((f) => f !== file)))
                }
              />
              {MAPPING_WORK.leaveThisFileOut}
            </label>
          ) : null}
          {unread.includes(file) ? null : <FileMapping base={base} file={file} settle={settle} />}
        </section>
      ))}
      <p className="buttons">
        <button
          type="button"
          className="button main"
          disabled={waitsFor.length > 0 || begin.isPending || begin.isSuccess}
          onClick={start}
        >
          {MAPPING_WORK.import}
        </button>
        <span className="soft" role="status">
          {waitsFor.length > 0 ? MAPPING_WORK.stillToSay(waitsFor.join(", ")) : MAPPING_WORK.everythingIsSaid}
        </span>
      </p>
      <Trouble says={begin.error?.message} />
    </>
  );
}
