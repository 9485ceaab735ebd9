import type { SiteScore } from "./documents.ts";
import type { ExposureDocument, ExposureSite } from "./exposure-document.ts";
import type { SiteLossDetail, WhatIfAsked, WhatIfResult } from "./exposure-stored.ts";

/** How a run stands. */
export interface ExposureRun {
  runId: string;
  status: "waiting" | "running" | "done" | "failed" | "cancelled";
  requestedBy: string;
  requestedAt: string;
  finishedAt: string | null;
  done: number;
  total: number;
  says: string | null;
}

export interface ExposureView {
  document: ExposureDocument;
  run: ExposureRun | null;
  /** Sites whose score itself waits to be computed anew. */
  staleSites: number;
  installers: { installer: string; sites: number }[];
  /** Currencies other than the account's that records use or that have a rate; rate null: none is set. */
  currencies: { currency: string; rate: number | null; sites: number; contracts: number }[];
  /** Every number that the money rests on, as in force now. */
  assumptions: { key: string; value: number; unit: string; source: string }[];
}

export interface ExposureSiteView {
  site: ExposureSite;
  detail: SiteLossDetail;
  currency: string;
  asOf: string | null;
  stale: boolean;
  parameterVersion: string | null;
  /** Expected shortfall at 97.5 %, which the site's parts are parts of. */
  shortfallOfBook: number | null;
  shortfallOfWhole: number | null;
  cautions: string[];
  /** The 5 % and 95 % points of each cause by the newest score; null: not kept yet. */
  causeBands: SiteScore["cause_bands"] | null;
}

export interface WhatIfView {
  run: ExposureRun;
  asked: WhatIfAsked;
  result: WhatIfResult | null;
}
