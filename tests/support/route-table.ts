import type { Operation } from "../../lib/core/permissions.ts";

/**
 * Who may do what, as agreed. It repeats `core/permissions.ts` on purpose: a change there must be made here too, by somebody
 * who means it. A administrator, M manager, D dispatcher, O owner, T technician; r, i: a token for reading, for imports; h: also one for reading
 * that is held to books.
 */
export const AGREED: Record<Operation, string> = {
  "sites.read": "AMDOT rh",
  "site.what_if": "AMDT",
  "fleet.read": "AMD",
  "score.read": "AMDOT rh",
  "queue.read": "AMDOT rh",
  "plan.read": "AMD r",
  "plan.write": "AMD",
  "exposure.read": "AMD r",
  "books.read": "AMDO",
  "exposure.run": "AM",
  "path.write": "AMD",
  "weather.read": "AMDOT rh",
  "visits.read": "AMDOT rh",
  "wet_look.allow": "AM",
  "visit.write": "AMDT",
  "parameters.read": "AMD",
  "parameters.write": "AM",
  "clock.write": "AM",
  "detector.write": "AM",
  "imports.read": "AMD i",
  "imports.write": "AMD i",
  "weather_feed.read": "AMD",
  "weather_feed.run": "AM",
  "evidence.make": "AM",
  "backup.make": "A",
  "alerts.read": "AMDT",
  "alerts.write": "AMD",
  "alerts.duty": "AM",
  "make_safe.write": "AMDT",
  "coverage.read": "AMDO",
  "coverage.write": "AMD",
  "coverage.share": "AM",
  "rates.write": "A",
  "settings.write": "AM",
  "notices.manage": "AMD",
  "system.read": "AMD",
  "demo.manage": "A",
  "people.manage": "A",
  "tokens.manage": "A",
  "audit.read": "A",
  "self.manage": "AMDOT",
};

/** `open`: answers everybody, also without a session. */
export type Rule = Operation | "open";

interface Row {
  rule: Rule;
  /** A body that gets past the checks of its shape, so that the door itself is reached. */
  body?: unknown;
  query?: string;
}

const reason = "a walk over all routes";
const finding = { check: "bond_resistance", outcome: "fail" };
/** Every column of a contract's terms, empty but for what names it. */
const TERMS = {
  ...{ coverage_id: "none", site_id: ":siteId", kind: "", provider: "", starts_on: "", ends_on: "", limit_amount: "" },
  ...{ deductible_amount: "", notice_days: "", notice_to: "", policy_number: "", currency: "", limit_basis: "" },
  ...{ trigger: "", proof_of_loss_days: "", suit_limit_months: "", excludes: "", conditions: "" },
};
const uuid = "00000000-0000-4000-8000-000000000001";

/**
 * Every page and every method of every route, and which operation it is. A new one is one line: its address and the
 * operation, with a body where it takes one.
 */
export const ROUTES: Record<string, Rule | Row> = {
  "PAGE /": "open",
  "PAGE /sign-in": "open",
  "PAGE /join": "open",
  "PAGE /sites": "sites.read",
  "PAGE /sites/[siteId]": "sites.read",
  "PAGE /visits": "visits.read",
  "PAGE /visits/[visitId]": "visits.read",
  "PAGE /visits/today": "visits.read",
  "PAGE /plan": "plan.read",
  "PAGE /plan/[planId]": "plan.read",
  "PAGE /plan/travel-times": "plan.read",
  "PAGE /plan/earned": "plan.read",
  "PAGE /plan/going-out": "notices.manage",
  "PAGE /books": "books.read",
  "PAGE /exposure": "exposure.read",
  "PAGE /exposure/books/[book]": "exposure.read",
  "PAGE /exposure/sites/[siteId]": "sites.read",
  "PAGE /coverage": "coverage.read",
  "PAGE /coverage/calendar": "coverage.read",
  "PAGE /coverage/sites/[siteId]": "coverage.read",
  "PAGE /alerts": "alerts.read",
  "PAGE /system": "system.read",
  "PAGE /shared/[secret]": "open",
  "PAGE /calibration": "fleet.read",
  "PAGE /parameters": "parameters.read",
  "PAGE /begin": "imports.read",
  "PAGE /imports": "imports.read",
  "PAGE /imports/[importId]": "imports.read",
  "PAGE /access": "people.manage",
  "PAGE /access/people": "people.manage",
  "PAGE /access/tokens": "tokens.manage",
  "PAGE /access/audit": "audit.read",
  "PAGE /you": "self.manage",
  "PAGE /glossary": "self.manage",
  // Not there in a built server.
  "PAGE /styleguide": "self.manage",

  "GET /api/auth/[...all]": "open",
  "POST /api/auth/[...all]": "open",
  "GET /api/health": "open",
  "GET /api/health/live": "open",
  "GET /api/health/ready": "open",
  "GET /api/metrics": "open",
  "GET /api/calendar/[secret]": "open",
  "GET /calendar/[link]": "open",
  "GET /api/v1/openapi.json": "open",

  "GET /api/pages/sites": "sites.read",
  "GET /api/pages/sites/map": "sites.read",
  "GET /api/pages/sites/moves": "sites.read",
  "GET /api/pages/sites/csv": "sites.read",
  "GET /api/pages/sites/setting": "sites.read",
  "POST /api/pages/sites/setting": { rule: "fleet.read", body: {} },
  "POST /api/pages/sites/actions": { rule: "plan.write", body: { action: "queue", siteIds: ["no such site"] } },
  "GET /api/pages/sites/[siteId]/brief": "sites.read",
  "GET /api/pages/sites/[siteId]/timeline": "sites.read",
  "GET /api/pages/sites/[siteId]/weather-picture": "sites.read",
  "GET /api/pages/sites/[siteId]/next-tests": "sites.read",
  "POST /api/pages/sites/[siteId]/what-if": { rule: "site.what_if", body: { findings: [finding] } },
  "POST /api/pages/sites/[siteId]/detector": {
    rule: "detector.write",
    body: { repairedAt: 5, cause: "open_section_bond", unchanged: true },
  },
  "GET /api/pages/fleet-findings": "fleet.read",
  "GET /api/pages/exposure": "exposure.read",
  "POST /api/pages/exposure": "exposure.run",
  "POST /api/pages/exposure/stop": { rule: "exposure.run", body: { runId: "none" } },
  "GET /api/pages/exposure/what-if/[runId]": "exposure.read",
  "POST /api/pages/exposure/what-if": {
    rule: "exposure.run",
    body: { book: null, act: { kind: "visit", siteIds: [":siteId"] } },
  },
  "POST /api/pages/plans": { rule: "plan.write", body: { from: "2026-11-30", days: 1, effort: 0 } },
  "POST /api/pages/visits/[visitId]/wet-look": { rule: "wet_look.allow", body: { act: "end", reason } },
  "POST /api/pages/travel-times": {
    rule: "imports.write",
    body: { text: "from_kind,from_id,to_kind,to_id,minutes\n" },
  },
  "POST /api/pages/travel-times/remove": "imports.write",
  "GET /api/pages/travel-times/lacking": "plan.read",
  "GET /api/pages/sites/[siteId]/worth": "plan.read",
  "GET /api/pages/plan-runs/[runId]": "plan.read",
  "POST /api/pages/plan-runs/[runId]/stop": { rule: "plan.write", body: { giveUp: false } },
  "GET /api/pages/plans/[planId]": "plan.read",
  "GET /api/pages/plans/[planId]/moves": { rule: "plan.write", query: "visit=none" },
  "GET /api/pages/plans/[planId]/added-day": { rule: "plan.write", query: "crewId=C1&day=2026-11-30" },
  "POST /api/pages/plans/[planId]/anew": { rule: "plan.write", body: { revision: 1 } },
  "POST /api/pages/plans/[planId]/confirm": { rule: "plan.write", body: { revision: 1 } },
  "POST /api/pages/plans/[planId]/rest": { rule: "plan.write", body: { reason, crews: [] } },
  "GET /api/pages/plans/[planId]/csv": "plan.read",
  "GET /api/pages/plans/[planId]/day-sheet": { rule: "plan.read", query: "crew=C1&day=2026-11-30" },
  "POST /api/pages/account-rates": { rule: "rates.write", body: { currency: "EUR", rate: 1.1 } },
  "POST /api/pages/calendars": { rule: "notices.manage", body: { crewId: "none" } },
  "POST /api/pages/calendars/end": { rule: "notices.manage", body: { feedId: "none" } },
  "GET /api/pages/notices": "notices.manage",
  "POST /api/pages/notices": {
    rule: "notices.manage",
    body: {
      ...{ kind: "email", address: "walk@example.test", makeSafe: true, planChanges: false },
      ...{ quietFrom: null, quietTo: null, timeZone: "UTC" },
    },
  },
  "POST /api/pages/notices/remove": { rule: "notices.manage", body: { recipientId: "none" } },
  "POST /api/pages/notices/test": { rule: "notices.manage", body: { recipientId: "none" } },
  "POST /api/pages/plans/[planId]/changes": {
    rule: "plan.write",
    body: { revision: 1, change: { kind: "pin", visitId: "none" } },
  },
  "POST /api/pages/sites/[siteId]/path": {
    rule: "path.write",
    body: { what: "piece", id: "walk", set: null, reason },
  },
  "POST /api/pages/sites/[siteId]/path/undo": { rule: "path.write", body: { seq: 1 } },
  "GET /api/pages/visits/[visitId]/checklist.pdf": "visits.read",
  "GET /api/pages/visits/[visitId]/report.pdf": "visits.read",
  "POST /api/pages/parameters": {
    rule: "parameters.write",
    body: { parent: 99, reason, changes: [{ key: "audit.share", value: 0.1, spread: 0.3 }] },
  },
  "POST /api/pages/parameters/roll-back": { rule: "parameters.write", body: { parent: 99, reason, to: 0 } },
  "POST /api/pages/parameters/learned": { rule: "parameters.write", body: { parent: 99, reason, outcomes: 1 } },
  "POST /api/pages/parameters/preview": {
    rule: "parameters.read",
    body: { change: { kind: "rolled_back", to: 0 }, from: 0 },
  },
  "POST /api/pages/clocks": {
    rule: "clock.write",
    body: { source: "log/none", offsetHours: 1, summerHours: 0, reason },
  },
  "POST /api/pages/clocks/withdraw": { rule: "clock.write", body: { source: "log/none", reason } },
  "GET /api/pages/first-run": "imports.read",
  "POST /api/pages/demo": "demo.manage",
  "POST /api/pages/demo/remove": { rule: "demo.manage", body: { confirm: "no" } },
  "GET /api/pages/imports": "imports.read",
  "POST /api/pages/imports": "imports.write",
  "GET /api/pages/imports/[importId]": "imports.read",
  "GET /api/pages/imports/[importId]/set-aside": "imports.read",
  "POST /api/pages/imports/[importId]/cancel": "imports.write",
  "GET /api/pages/imports/[importId]/mapping": "imports.write",
  "POST /api/pages/imports/[importId]/mapping": { rule: "imports.write", body: { file: "a.csv" } },
  "POST /api/pages/imports/[importId]/whole": {
    rule: "imports.write",
    body: {
      file: "a.csv",
      mapping: { kind: null, delimiter: ",", headerAt: 0, decimal: null, blanks: [], columns: [] },
    },
  },
  "POST /api/pages/imports/[importId]/start": { rule: "imports.write", body: { files: {} } },
  "POST /api/pages/imports/[importId]/corrections": {
    rule: "imports.write",
    body: { rows: [{ position: 0, line: 2, cells: ["x"] }] },
  },
  "GET /api/pages/weather-feed": "weather_feed.read",
  "POST /api/pages/weather-feed": "weather_feed.run",
  "POST /api/pages/weather-feed/stop": "weather_feed.run",
  "POST /api/visits/sync": { rule: "visit.write", body: { visitId: "walk", siteId: ":siteId", edits: [] } },
  "POST /api/visits/photos": {
    rule: "visit.write",
    query: `photo_id=${uuid}&visit_id=walk&site_id=:siteId&item=x`,
  },
  "GET /api/visits/photos/[photoId]": "visits.read",
  "POST /api/pages/photo-place": { rule: "settings.write", body: { photoPlace: "keep" } },
  "GET /api/pages/alerts": "alerts.read",
  "GET /api/pages/make-safes": "sites.read",
  "GET /api/pages/alerts/count": "alerts.read",
  "POST /api/pages/alerts": { rule: "alerts.write", body: { kind: "stop_reading", subject: "none", by: "Walker" } },
  "POST /api/pages/alerts/duty": { rule: "alerts.duty", body: { people: [] } },
  "POST /api/pages/make-safe/[makeSafeId]": { rule: "make_safe.write", body: { kind: "acknowledged", by: "Walker" } },
  "POST /api/pages/sites/[siteId]/evidence": "evidence.make",
  "POST /api/pages/coverage/terms": { rule: "coverage.write", body: { change: true, terms: TERMS } },
  "POST /api/pages/coverage/notices": {
    rule: "coverage.write",
    body: {
      ...{ siteId: ":siteId", coverageId: "none", discoveryId: uuid, kind: "notice", sentOn: "2026-11-01" },
      ...{ sentTo: "nobody", method: "post", documentId: uuid },
    },
  },
  "GET /api/pages/coverage/papers/[siteId]/[documentId]": "coverage.read",
  "POST /api/pages/coverage/papers": {
    rule: "coverage.write",
    query: "site_id=:siteId&kind=contract&file_name=a.pdf",
  },
  "POST /api/pages/coverage/parts": {
    rule: "coverage.write",
    body: {
      ...{ siteId: ":siteId", tag: "T-1", what: "a clip", placeFound: "row one", documentId: null },
      ...{ removedBy: "Walker", removedAt: "2026-11-01T10:00:00Z" },
    },
  },
  "POST /api/pages/coverage/handovers": {
    rule: "coverage.write",
    body: {
      ...{ siteId: ":siteId", itemId: uuid, from: "Walker", to: "Keeper", storedAt: "shelf one", sealed: true },
      ...{ signedFrom: "Walker", signedTo: "Keeper", handedAt: "2026-11-01T10:00:00Z" },
    },
  },
  "POST /api/pages/coverage/discoveries": {
    rule: "coverage.write",
    body: { siteId: ":siteId", what: "an open bond was found", reason: "it was measured on the roof", by: "Walker" },
  },
  "POST /api/pages/coverage/discoveries/end": {
    rule: "coverage.write",
    body: { siteId: ":siteId", discoveryId: uuid, how: "withdrawn", reason: "it was another site", by: "Walker" },
  },
  "POST /api/pages/coverage/links": {
    rule: "coverage.share",
    body: { kind: "site", siteId: ":siteId", madeFor: "an adviser", days: 1 },
  },
  "POST /api/pages/coverage/links/revoke": { rule: "coverage.share", body: { linkId: uuid } },
  "POST /api/pages/coverage/reminders": { rule: "coverage.write", body: { key: "none", by: "Walker" } },
  "GET /api/pages/coverage/reports/[reportId]": "coverage.read",
  "POST /api/pages/coverage/reports": { rule: "coverage.write", body: { book: "no such book", month: "2026-10" } },
  "POST /api/pages/people": { rule: "people.manage", body: { name: "Walker", role: "manager" } },
  "POST /api/pages/people/[personId]": {
    rule: "people.manage",
    body: { name: "Walker", role: "manager", disabled: true },
  },
  "POST /api/pages/people/[personId]/link": "people.manage",
  "POST /api/pages/tokens": { rule: "tokens.manage", body: { name: "walk", scopes: ["read"], days: 1 } },
  "POST /api/pages/tokens/[tokenId]/revoke": "tokens.manage",
  "POST /api/pages/units": { rule: "self.manage", body: { units: "metric" } },
  "POST /api/pages/sessions/[sessionId]/end": "self.manage",
  "POST /api/pages/sessions/end-others": "self.manage",
  "GET /api/pages/audit/export": "audit.read",

  "GET /api/v1/score": "score.read",
  "GET /api/v1/queue": "queue.read",
  "GET /api/v1/plan": { rule: "plan.read", query: "from=2026-11-30&days=1&effort=0" },
  "POST /api/v1/plan": { rule: "plan.read", query: "from=2026-11-30&days=1&effort=0" },
  "GET /api/v1/plan-runs/[runId]": "plan.read",
  "DELETE /api/v1/plan-runs/[runId]": "plan.read",
  "GET /api/v1/exposure": "exposure.read",
  "GET /api/v1/visits/[visitId]/checklist.pdf": "visits.read",
  "GET /api/v1/visits/[visitId]/report.pdf": "visits.read",
  "GET /api/v1/weather/[stationId]": { rule: "weather.read", query: "from=2026-10-01&to=2026-10-02" },
  "POST /api/v1/imports": "imports.write",
  "GET /api/v1/imports/[importId]": "imports.read",
  "GET /api/v1/imports/[importId]/set-aside": "imports.read",
};

export const rowOf = (key: string): Row => {
  const row = ROUTES[key] as Rule | Row;
  return typeof row === "string" ? { rule: row } : row;
};
