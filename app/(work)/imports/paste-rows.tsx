"use client";

import { useState } from "react";

/** Rows copied out of a spreadsheet, taken as a file of their own. */
export function PasteRows({ busy, onFile }: { busy: boolean; onFile: (file: File) => void }) {
  const [text, setText] = useState("");
  const [name, setName] = useState("");
  const lines = text.split("\n").filter((line) => line.trim() !== "").length;
  return (
    <details>
      <summary>Paste from a spreadsheet</summary>
      <label className="field">
        Rows with their headings
        <textarea
          className="pasted"
          rows={6}
          value={text}
          onChange={(event) => setText(event.target.value)}
          placeholder="Copy the cells in the spreadsheet, headings too, and paste them here"
        />
      </label>
      <p className="filters">
        <label>
          Name of this table (optional)
          <input type="text" value={name} onChange={(event) => setName(event.target.value)} />
        </label>
        <button
          type="button"
          className="button"
          disabled={busy || lines < 2}
          onClick={() => onFile(new File([text], `${name.trim() || "pasted rows"}.csv`, { type: "text/csv" }))}
        >
          {lines < 2 ? "Import pasted rows" : `Import ${lines - 1} pasted ${lines === 2 ? "row" : "rows"}`}
        </button>
      </p>
    </details>
  );
}
