"use client";

import { useState } from "react";
import { PASTE_ROWS } from "@/app/_words/imports.ts";

/** Rows copied out of a spreadsheet, taken as a file of their own. */
export function PasteRows({ busy, onFile }: { busy: boolean; onFile: (file: File) => void }) {
  const [text, setText] = useState("");
  const [name, setName] = useState("");
  const lines = text.split("\n").filter((line) => line.trim() !== "").length;
  return (
    <details>
      <summary>{PASTE_ROWS.pasteFromASpreadsheet}</summary>
      <label className="field">
        {PASTE_ROWS.rowsWithTheirHeadings}
        <textarea
          className="pasted"
          rows={6}
          value={text}
          onChange={(event) => setText(event.target.value)}
          placeholder={PASTE_ROWS.copyTheCellsIn}
        />
      </label>
      <p className="filters">
        <label>
          {PASTE_ROWS.nameOfThisTable}
          <input type="text" value={name} onChange={(event) => setName(event.target.value)} />
        </label>
        <button
          type="button"
          className="button"
          disabled={busy || lines < 2}
          onClick={() => onFile(new File([text], `${name.trim() || PASTE_ROWS.pastedRows}.csv`, { type: "text/csv" }))}
        >
          {lines < 2 ? PASTE_ROWS.importPastedRows : PASTE_ROWS.importPasted(lines - 1, lines === 2 ? "row" : "rows")}
        </button>
      </p>
    </details>
  );
}
