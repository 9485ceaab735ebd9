"use client";

import { useState } from "react";
import { LIST_SETTING } from "@/app/_words/sites.ts";
import type { RankedSitesQuery, SitesSetting } from "@/lib/reads/ranked-sites-query.ts";
import { SITE_COLUMNS, type SiteColumn } from "@/lib/reads/ranked-sites-view.ts";
import { showSearch, sitesSearch } from "./sites-query.ts";

export const COLUMN_WORDS: Record<SiteColumn, string> = {
  urgency: LIST_SETTING.urgency,
  bonding: LIST_SETTING.bondingDefect,
  energized: LIST_SETTING.metalEnergised,
  cause: LIST_SETTING.leadingCause,
  wet_dry: LIST_SETTING.wetDry,
  strip: LIST_SETTING.rainAboveGroundFaults,
  inspected: LIST_SETTING.lastInspected,
  portfolio: LIST_SETTING.portfolio,
};

interface Props {
  query: RankedSitesQuery;
  setting: SitesSetting;
  keep: (next: SitesSetting) => void;
}

/** Columns that are shown, filters by name, and the list as a file. */
export function ListSetting({ query, setting, keep }: Props) {
  const [name, setName] = useState("");
  const search = sitesSearch({ ...query, page: 1 });
  const csv = new URLSearchParams(search);
  csv.set("columns", setting.columns.join(","));
  const toggle = (column: SiteColumn) =>
    keep({
      ...setting,
      columns: SITE_COLUMNS.filter((c) => (c === column ? !setting.columns.includes(c) : setting.columns.includes(c))),
    });
  return (
    <div className="list-setting no-print">
      {setting.filters.length > 0 ? (
        <fieldset className="buttons">
          <legend className="visually-hidden">{LIST_SETTING.keptFilters}</legend>
          {setting.filters.map((kept) => (
            <span key={kept.name} className="kept">
              <button
                type="button"
                className="button"
                aria-pressed={kept.search === search}
                onClick={() => showSearch(kept.search)}
              >
                {kept.name}
              </button>
              <button
                type="button"
                className="button"
                aria-label={LIST_SETTING.forgetTheFilter(kept.name)}
                onClick={() => keep({ ...setting, filters: setting.filters.filter((f) => f.name !== kept.name) })}
              >
                ×
              </button>
            </span>
          ))}
        </fieldset>
      ) : null}
      <details>
        <summary>{LIST_SETTING.columnsAndKeptFilters}</summary>
        <fieldset className="filters">
          <legend className="soft">{LIST_SETTING.columns}</legend>
          {SITE_COLUMNS.map((column) => (
            <label key={column} className="tick">
              <input type="checkbox" checked={setting.columns.includes(column)} onChange={() => toggle(column)} />
              {COLUMN_WORDS[column]}
            </label>
          ))}
        </fieldset>
        <form
          className="filters"
          onSubmit={(event) => {
            event.preventDefault();
            const kept = { name: name.trim(), search };
            if (kept.name === "") return;
            keep({ ...setting, filters: [...setting.filters.filter((f) => f.name !== kept.name), kept].slice(-30) });
            setName("");
          }}
        >
          <label>
            {LIST_SETTING.keepTheFiltersNow}
            <input type="text" value={name} maxLength={60} onChange={(event) => setName(event.target.value)} />
          </label>
          <button type="submit" className="button" disabled={name.trim() === ""}>
            {LIST_SETTING.keep}
          </button>
        </form>
      </details>
      <p className="buttons">
        <a className="button" href={`/api/pages/sites/csv?${csv}`}>
          {LIST_SETTING.thisListAsCsv}
        </a>
      </p>
    </div>
  );
}
