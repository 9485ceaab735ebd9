"use client";

import { keepPreviousData, useQuery } from "@tanstack/react-query";
import { useEffect, useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { FILE_MAPPING } from "@/app/_words/imports.ts";
import type { ColumnRule, Mapping, MappingAsk, MappingView } from "@/lib/reads/import-mapping-view.ts";
import { CodesTable } from "./codes-table.tsx";
import { ColumnTable } from "./column-table.tsx";
import { FixedValues } from "./fixed-values.tsx";
import { MappingPreview } from "./mapping-preview.tsx";
import { WordsTable } from "./words-table.tsx";
import { ZoneNamesTable } from "./zone-names-table.tsx";

const DELIMITERS = { ",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars" } as const;

interface Props {
  base: string;
  file: string;
  settle: (file: string, said: { mapping: Mapping; ready: boolean; remember: string | null }) => void;
}

/** How one file is read: guessed first, then as somebody says, each change checked against its rows at once. */
export function FileMapping({ base, file, settle }: Props) {
  const [ask, setAsk] = useState<MappingAsk>({ file, kind: null, cut: {}, mapping: null });
  const [remember, setRemember] = useState<string | null>(null);
  const {
    data: answered,
    error,
    isFetching,
    isPlaceholderData,
  } = useQuery({
    queryKey: ["mapping", base, ask],
    queryFn: () => postJson<MappingView>(`${base}/mapping`, ask),
    placeholderData: keepPreviousData,
    staleTime: Number.POSITIVE_INFINITY,
  });
  // Until the answer to the last change is there, what was said stands: the next change must not undo it.
  const data = answered && isPlaceholderData && ask.mapping ? { ...answered, mapping: ask.mapping } : answered;
  const name = remember ?? data?.profile?.name ?? "";
  useEffect(() => {
    if (answered)
      settle(file, {
        mapping: answered.mapping,
        ready: answered.questions.length === 0 && !isFetching && !isPlaceholderData,
        remember: name,
      });
  }, [answered, isFetching, isPlaceholderData, name, file, settle]);
  if (error) return <Trouble says={error.message} />;
  if (!data) return <p role="status">{FILE_MAPPING.lookingAtItsColumns}</p>;
  const { mapping } = data;
  const say = (next: Partial<Mapping>) => setAsk({ file, kind: null, cut: {}, mapping: { ...mapping, ...next } });
  const sayColumns = (columns: ColumnRule[]) => say({ columns });
  const cutAnew = (cut: MappingAsk["cut"]) =>
    setAsk({
      file,
      kind: mapping.kind,
      cut: { delimiter: mapping.delimiter, headerAt: mapping.headerAt, ...cut },
      mapping: null,
    });
  return (
    <>
      {data.profile ? (
        <p className="soft">{FILE_MAPPING.columnsLikeTheseWere(data.profile.name, data.profile.madeBy)}</p>
      ) : null}
      <div className="filters">
        <label>
          {FILE_MAPPING.thisFileHolds}
          <select
            value={mapping.kind ?? ""}
            onChange={(event) =>
              setAsk({
                file,
                kind: event.target.value,
                cut: { delimiter: mapping.delimiter, headerAt: mapping.headerAt },
                mapping: null,
              })
            }
          >
            {mapping.kind === null ? <option value="">{FILE_MAPPING.sayWhat}</option> : null}
            {data.kinds.map((kind) => (
              <option key={kind}>{kind}</option>
            ))}
          </select>
        </label>
        <label>
          {FILE_MAPPING.numbersHaveA}
          <select
            value={mapping.decimal ?? ""}
            onChange={(event) => say({ decimal: event.target.value as "point" | "comma" })}
          >
            {mapping.decimal === null ? <option value="">{FILE_MAPPING.sayWhich}</option> : null}
            <option value="point">{FILE_MAPPING.decimalPoint}</option>
            <option value="comma">{FILE_MAPPING.decimalComma}</option>
          </select>
        </label>
        <label>
          {FILE_MAPPING.cellsArePartedBy}
          <select
            value={mapping.delimiter}
            onChange={(event) => cutAnew({ delimiter: event.target.value as Mapping["delimiter"] })}
          >
            {Object.entries(DELIMITERS).map(([sign, word]) => (
              <option key={word} value={sign}>
                {word}
              </option>
            ))}
          </select>
        </label>
        <label>
          {FILE_MAPPING.headingsStandInRow}
          <input
            type="number"
            min={1}
            max={51}
            value={mapping.headerAt + 1}
            onChange={(event) => cutAnew({ headerAt: Math.max(0, Math.min(50, Number(event.target.value) - 1)) })}
          />
        </label>
      </div>
      <p className="soft">
        {FILE_MAPPING.rowsWereLookedAt(
          [data.because.kind, data.because.decimal].filter(Boolean).join("; "),
          data.rows.toLocaleString("en-US"),
          data.whole ? "" : FILE_MAPPING.theBeginningOfThe,
        )}
      </p>
      <Questions view={data} />
      <ColumnTable view={data} onChange={sayColumns} />
      <FixedValues view={data} onChange={sayColumns} />
      <WordsTable view={data} onChange={sayColumns} />
      <ZoneNamesTable view={data} onChange={sayColumns} />
      <CodesTable view={data} onChange={(vocabulary) => say({ vocabulary })} />
      {data.leftOut.length > 0 && mapping.kind ? (
        <p className="note gap">{FILE_MAPPING.notReadWhatThey(data.leftOut.join(", "))}</p>
      ) : null}
      {data.preview ? (
        <MappingPreview base={base} file={file} mapping={mapping} preview={data.preview} whole={data.whole} />
      ) : null}
      <label className="field">
        {FILE_MAPPING.rememberThisForFiles}
        <input type="text" value={name} maxLength={100} onChange={(event) => setRemember(event.target.value)} />
      </label>
    </>
  );
}

function Questions({ view }: { view: MappingView }) {
  if (view.questions.length === 0) return null;
  return (
    <div className="note gap" role="status">
      <strong>{FILE_MAPPING.toSayBeforeIt}</strong>
      <ul>
        {view.questions.map((q) => (
          <li key={`${q.about}/${q.part}`}>{q.says}</li>
        ))}
      </ul>
    </div>
  );
}
