import { AppError } from "./app-error.ts";

/** Roles that a person can have. */
export const ROLES = ["administrator", "manager", "dispatcher", "owner", "technician"] as const;
export type Role = (typeof ROLES)[number];

/** What a role is for, as screens say it. */
export const ROLE_SAYS: Record<Role, string> = {
  administrator: "everything, and people, tokens and the audit log",
  manager: "operation and maintenance: all sites, imports, parameters, clocks, plans",
  dispatcher: "all sites, imports, visits and plans",
  owner: "reads the sites of their own books",
  technician: "the visits of their own crew, and the sites of those",
};

/** What a token can be made for. */
export const TOKEN_SCOPES = ["read", "import"] as const;
export type TokenScope = (typeof TOKEN_SCOPES)[number];

interface Rule {
  roles: readonly Role[];
  /** Scopes of a token of which one is enough; none: no token may. */
  scopes?: readonly TokenScope[];
  /** The answer is about the whole account: not for a token that is held to books of sites. */
  whole?: boolean;
}

const OFFICE = ["administrator", "manager", "dispatcher"] as const;
const MANAGEMENT = ["administrator", "manager"] as const;
const ADMINISTRATOR = ["administrator"] as const;

/**
 * The written table: who may do what. Which rows somebody sees of it is row security's to decide; this says whether they
 * may ask at all. Each door begins with `authorise`.
 */
export const OPERATIONS = {
  "sites.read": { roles: ROLES, scopes: ["read"] },
  "site.what_if": { roles: [...OFFICE, "technician"] },
  "fleet.read": { roles: OFFICE },
  "score.read": { roles: ROLES, scopes: ["read"] },
  "queue.read": { roles: ROLES, scopes: ["read"] },
  "plan.read": { roles: OFFICE, scopes: ["read"], whole: true },
  "plan.write": { roles: OFFICE },
  "exposure.read": { roles: OFFICE, scopes: ["read"], whole: true },
  "books.read": { roles: [...OFFICE, "owner"] },
  "exposure.run": { roles: MANAGEMENT },
  "path.write": { roles: OFFICE },
  "weather.read": { roles: ROLES, scopes: ["read"] },
  "visits.read": { roles: ROLES, scopes: ["read"] },
  "wet_look.allow": { roles: MANAGEMENT },
  "visit.write": { roles: [...OFFICE, "technician"] },
  "parameters.read": { roles: OFFICE },
  "parameters.write": { roles: MANAGEMENT },
  "clock.write": { roles: MANAGEMENT },
  "detector.write": { roles: MANAGEMENT },
  "imports.read": { roles: OFFICE, scopes: ["import"] },
  "imports.write": { roles: OFFICE, scopes: ["import"] },
  "weather_feed.read": { roles: OFFICE },
  "weather_feed.run": { roles: MANAGEMENT },
  "evidence.make": { roles: MANAGEMENT },
  "backup.make": { roles: ADMINISTRATOR },
  "alerts.read": { roles: [...OFFICE, "technician"] },
  "alerts.write": { roles: OFFICE },
  "alerts.duty": { roles: MANAGEMENT },
  "make_safe.write": { roles: [...OFFICE, "technician"] },
  "coverage.read": { roles: [...OFFICE, "owner"] },
  "coverage.write": { roles: OFFICE },
  "coverage.share": { roles: MANAGEMENT },
  "rates.write": { roles: ADMINISTRATOR },
  "settings.write": { roles: MANAGEMENT },
  "notices.manage": { roles: OFFICE },
  "system.read": { roles: OFFICE },
  "demo.manage": { roles: ADMINISTRATOR },
  "people.manage": { roles: ADMINISTRATOR },
  "tokens.manage": { roles: ADMINISTRATOR },
  "audit.read": { roles: ADMINISTRATOR },
  "self.manage": { roles: ROLES },
} as const satisfies Record<string, Rule>;
export type Operation = keyof typeof OPERATIONS;

interface Asker {
  role: string;
  scopes?: readonly string[];
  portfolios?: readonly string[] | null;
}

/** Whether the table lets somebody do something. The program itself (`system`) may do everything. */
export function may(actor: Asker, operation: Operation): boolean {
  const rule: Rule = OPERATIONS[operation];
  if (actor.role === "system") return true;
  if (actor.role === "token")
    return !(rule.whole && actor.portfolios) && (rule.scopes ?? []).some((scope) => actor.scopes?.includes(scope));
  return (rule.roles as readonly string[]).includes(actor.role);
}

/**
 * The first line of every door.
 * @throws AppError `forbidden` with who may
 */
export function authorise(actor: Asker, operation: Operation): void {
  if (may(actor, operation)) return;
  const rule: Rule = OPERATIONS[operation];
  const needs = rule.scopes
    ? `it needs the scope ${rule.scopes.join(" or ")}${rule.whole ? ", and not to be held to books of sites" : ""}`
    : "no token may";
  const message =
    actor.role === "token"
      ? `This token may not do that; ${needs}.`
      : `Your role (${actor.role}) may not do that. Those who may: ${rule.roles.join(", ")}. Ask an administrator.`;
  throw new AppError("forbidden", { message });
}
