import type { Coverage, LocalDay } from "../core/records.ts";
import type { Suspicion } from "./deadlines-suspicion.ts";
import { addDays, addMonths, daysBetween } from "./local-days.ts";

/** What a person said was discovered, as far as deadlines go. */
export interface OpenDiscovery {
  discoveryId: string;
  what: string;
  /** Site-local day on which it was entered; there is no other. */
  discoveredOn: LocalDay;
}

/** A notice that went out, as recorded with its paper. */
export interface SentNotice {
  coverageId: string;
  discoveryId: string;
  kind: "notice" | "proof_of_loss";
  sentOn: LocalDay;
}

export const DEADLINE_KINDS = ["prudent_notice", "notice", "proof_of_loss", "suit"] as const;
export type DeadlineKind = (typeof DEADLINE_KINDS)[number];

/**
 * One thing that has to be out by a day.
 * `read_contract`: the term is not recorded, so there is no day and nothing to wait for.
 */
export interface Deadline {
  siteId: string;
  coverageId: string;
  coverageKind: Coverage["kind"];
  kind: DeadlineKind;
  /** Null for the model's prudent date: nobody has discovered anything. */
  discoveryId: string | null;
  /** Of the model's prudent date: since when it suspects. Null where a person has discovered something. */
  suspectedSince: LocalDay | null;
  /** Site-local; null: read the contract, notify now. */
  dueOn: LocalDay | null;
  /** Where the clock itself stands: of a prudent day that is over, that day, while `dueOn` is today. Else `dueOn`. */
  clockOn: LocalDay | null;
  daysLeft: number | null;
  state: "open" | "lapse_risk" | "passed" | "read_contract" | "sent";
  sentOn: LocalDay | null;
  noticeTo: string | null;
  says: string;
  /** What to send, in order. */
  send: string[];
}

/** Days that gathering the papers and sending them takes. Engineering judgement, no published source. */
export const LEAD_DAYS = 7;
export const READ_CONTRACT = "Read the contract, notify now.";

const isInsurance = (kind: Coverage["kind"]) => kind === "property_insurance" || kind === "liability_insurance";
const named = (c: Coverage) => `${c.kind.replaceAll("_", " ")} ${c.policyNumber ?? c.coverageId}`;

/**
 * Every deadline of a site. An unknown term never becomes a date. The model's suspicion gives a prudent date to notify
 * by, for contracts in force today, only while nobody has entered a discovery; a discovery starts the contract's clock.
 *
 * @param today site-local
 * @returns without a date first, then soonest first, what was sent last; ties by contract and kind
 */
export function siteDeadlines(input: {
  coverage: readonly Coverage[];
  suspicion: Suspicion | null;
  discoveries: readonly OpenDiscovery[];
  sent: readonly SentNotice[];
  today: LocalDay;
}): Deadline[] {
  const { coverage, suspicion, discoveries, sent, today } = input;
  const found: Deadline[] = [];
  for (const contract of coverage) {
    if (contract.endsOn < contract.startsOn) continue;
    if (discoveries.length === 0 && suspicion && contract.startsOn <= today && today <= contract.endsOn)
      found.push(prudentNotice(contract, suspicion, today));
    for (const discovery of discoveries) found.push(...claimDeadlines(contract, discovery, sent, today));
  }
  return found.sort(soonestFirst);
}

const RANK: Record<Deadline["state"], number> = { read_contract: 0, passed: 1, lapse_risk: 1, open: 1, sent: 2 };

export function soonestFirst(a: Deadline, b: Deadline): number {
  const text = (x: Deadline) => `${x.dueOn ?? ""}\n${x.siteId}\n${x.coverageId}\n${DEADLINE_KINDS.indexOf(x.kind)}`;
  return RANK[a.state] - RANK[b.state] || (text(a) < text(b) ? -1 : text(a) > text(b) ? 1 : 0);
}

/** Whether a contract may answer for something discovered on a day, and what has to be said about it. */
function answersFor(contract: Coverage, day: LocalDay): { says: string | null } | null {
  if (day < contract.startsOn) return null;
  if (day <= contract.endsOn) return { says: null };
  // What happened inside the period of an occurrence policy may be reported after its end.
  if (contract.trigger === "occurrence")
    return {
      says: `It ended on ${contract.endsOn}, before the discovery. On an occurrence basis it may still answer for what happened within its period: read the contract, notify now.`,
    };
  return null;
}

/** On a warranty or claims made, what comes after the end comes too late. */
const endBinds = (contract: Coverage) => !isInsurance(contract.kind) || contract.trigger === "claims_made";

function prudentNotice(contract: Coverage, suspicion: Suspicion, today: LocalDay): Deadline {
  const byTerm = contract.noticeDays === null ? null : addDays(suspicion.since, contract.noticeDays);
  const bounded = byTerm !== null && endBinds(contract) && contract.endsOn < byTerm ? contract.endsOn : byTerm;
  const dueOn = bounded !== null && bounded < today ? today : bounded;
  const since = `Suspected since ${suspicion.since}${suspicion.atFirstScore ? ", the first score on file, or earlier" : ""}. This is the model's suspicion, not a discovery.`;
  const says =
    dueOn === null
      ? `${named(contract)}: ${since} ${READ_CONTRACT}`
      : `${named(contract)}: ${since} The earliest prudent day to have notified by is ${dueOn}${bounded === dueOn ? "" : " (today: the days of the contract, counted from the suspicion, are over)"}.`;
  const own = { discoveryId: null, suspectedSince: suspicion.since, clockOn: bounded };
  return finish({ contract, kind: "prudent_notice", ...own, dueOn, sentOn: null, says, today });
}

function claimDeadlines(
  contract: Coverage,
  discovery: OpenDiscovery,
  sent: readonly SentNotice[],
  today: LocalDay,
): Deadline[] {
  const answers = answersFor(contract, discovery.discoveredOn);
  if (!answers) return [];
  const { discoveryId, discoveredOn } = discovery;
  const out = sent.filter((s) => s.coverageId === contract.coverageId && s.discoveryId === discoveryId);
  const sentOn = (kind: SentNotice["kind"]) => out.find((s) => s.kind === kind)?.sentOn ?? null;
  const base = { contract, discoveryId, today };
  const head = `${named(contract)}: discovered on ${discoveredOn} (${discovery.what}).`;
  const late = answers.says ? ` ${answers.says}` : "";
  const found: Deadline[] = [];

  const byTerm = contract.noticeDays === null || answers.says ? null : addDays(discoveredOn, contract.noticeDays);
  const cut = byTerm !== null && endBinds(contract) && contract.endsOn < byTerm;
  const noticeOn = cut ? contract.endsOn : byTerm;
  const noticeSays =
    noticeOn === null
      ? answers.says
        ? ""
        : ` Days for notice are not recorded. ${READ_CONTRACT}`
      : cut
        ? ` Notice is due by ${noticeOn}: the contract ends then, before its ${contract.noticeDays} days are over.`
        : ` Notice is due by ${noticeOn}, ${contract.noticeDays} days from discovery.`;
  found.push(
    finish({ ...base, kind: "notice", dueOn: noticeOn, sentOn: sentOn("notice"), says: `${head}${late}${noticeSays}` }),
  );

  if (isInsurance(contract.kind) || contract.proofOfLossDays !== null) {
    const dueOn = contract.proofOfLossDays === null ? null : addDays(discoveredOn, contract.proofOfLossDays);
    const says =
      dueOn === null
        ? `${head} Days for the proof of loss are not recorded. ${READ_CONTRACT}`
        : `${head} Proof of loss is due by ${dueOn}, ${contract.proofOfLossDays} days, counted from discovery as the earliest start: the contract says from when they run.`;
    found.push(finish({ ...base, kind: "proof_of_loss", dueOn, sentOn: sentOn("proof_of_loss"), says }));
  }
  if (isInsurance(contract.kind) || contract.suitLimitMonths !== null) {
    const dueOn = contract.suitLimitMonths === null ? null : addMonths(discoveredOn, contract.suitLimitMonths);
    const says =
      dueOn === null
        ? `${head} The time to bring suit is not recorded. Read the contract and ask a lawyer.`
        : `${head} The time to bring suit ends on ${dueOn}, ${contract.suitLimitMonths} months, counted from discovery. A contract may count from the loss itself, which is earlier: read it and ask a lawyer.`;
    found.push(finish({ ...base, kind: "suit", dueOn, sentOn: null, says }));
  }
  return found;
}

function finish(made: {
  contract: Coverage;
  kind: DeadlineKind;
  discoveryId: string | null;
  suspectedSince?: LocalDay;
  dueOn: LocalDay | null;
  clockOn?: LocalDay | null;
  sentOn: LocalDay | null;
  says: string;
  today: LocalDay;
}): Deadline {
  const { contract, kind, dueOn, sentOn, today } = made;
  const daysLeft = dueOn === null ? null : daysBetween(today, dueOn);
  const state: Deadline["state"] =
    sentOn !== null
      ? "sent"
      : daysLeft === null
        ? "read_contract"
        : daysLeft < 0
          ? "passed"
          : daysLeft <= LEAD_DAYS
            ? "lapse_risk"
            : "open";
  const after =
    sentOn !== null
      ? ` Sent on ${sentOn}${dueOn !== null && sentOn > dueOn ? ", after that day" : ""}.`
      : state === "passed"
        ? " That day is over: send it today all the same and ask a lawyer."
        : state === "lapse_risk" && kind !== "suit"
          ? ` Papers take about ${LEAD_DAYS} days to gather and send: begin now.`
          : "";
  return {
    ...{ siteId: contract.siteId, coverageId: contract.coverageId, coverageKind: contract.kind },
    ...{ suspectedSince: made.suspectedSince ?? null, clockOn: made.clockOn === undefined ? dueOn : made.clockOn },
    ...{ kind, discoveryId: made.discoveryId, dueOn, daysLeft, state, sentOn, noticeTo: contract.noticeTo },
    says: made.says + after,
    send: whatToSend(contract, kind),
  };
}

/** What goes out, as common practice has it (no source); the contract may ask for more or for another form. */
function whatToSend(contract: Coverage, kind: DeadlineKind): string[] {
  const to = `To: ${contract.noticeTo ?? "not recorded, read the contract"}. Number: ${contract.policyNumber ?? "not recorded, read the contract"}.`;
  if (kind === "proof_of_loss")
    return [
      to,
      "The proof of loss on the carrier's own form, sworn where it asks for that.",
      "The evidence file of the site.",
      "Invoices and offers for the repair.",
    ];
  if (kind === "suit")
    return ["Nothing is sent. Take the evidence file and the notices to a lawyer well before that day."];
  return [
    to,
    "In writing, in a way that proves the day: keep the receipt.",
    "What was seen, where and when, as facts. No opinion on whose fault it is.",
    "The evidence file of the site.",
    "The question whether anything may be altered or removed before the carrier has seen it.",
  ];
}
