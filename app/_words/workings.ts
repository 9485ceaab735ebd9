/** How figures come about, as the page of a site tells it: what goes in, how it is reckoned, where it comes from. */
export const WORKING = {
  opens: "how it is reckoned",
  goesIn: "What goes in",
  how: "How it is reckoned",
  source: "Where it comes from",
  close: "Close",
  toParameters: "The parameter table",
  toRecords: "The records of this site",
  notKnown: "not known",
  decibans: (n: string) => `${n} decibans`,
  recordsUpTo: "Records up to",
  scoreOf: (program: string, parameters: string) => `Score by program ${program} with parameters ${parameters}`,
  input: (hash: string) => `input ${hash}`,
} as const;

/** `name`, how it is reckoned, and what it rests on. */
interface Told {
  name: string;
  how: string;
  source: string;
}

const PARAMETERS = "Rates, shares and chances of the parameter table, each with its own source and spread.";

export const FIGURES = {
  bonding: {
    name: "Probability of a bonding or grounding defect",
    how: "Every set of up to three causes is given a prior; each piece of evidence multiplies its odds. The probability is the sum over all sets that hold a cause of the bonding family. The decibans of the evidence add up to ten times the logarithm of its odds. The band is what comes out at the 5 % and 95 % points when the parameters are drawn anew within their spread.",
    source: PARAMETERS,
  },
  energized: {
    name: "Probability that touchable metal may be energised",
    how: "Summed over the same sets of causes: that the path to earth is open somewhere and current leaks at once, each weighted by how far that defect lets the metal rise. Ground faults of the last twelve months are evidence of a leak. The band comes from drawing the parameters anew.",
    source: PARAMETERS,
  },
  cause: {
    name: "Probability of one cause",
    how: "The sum over all sets of causes that hold this one. Causes can be there together, so these need not add up to one. The band comes from drawing the parameters anew.",
    source: PARAMETERS,
  },
  rateRatio: {
    name: "Rate ratio, wet to dry",
    how: "Onsets per unit-hour at risk with the array wet, over the same with it dry, compared within each hour of the day and month, so that season and time of day cannot stand in for water. The interval holds 95 % and is widened where onsets come in runs.",
    source: "The fault log as episodes, and the weather of the station that stands for the site.",
  },
  pValue: {
    name: "p, by moving the weather",
    how: "The weather is moved by whole days against the log, many times; p is how often the moved weather goes with the faults at least as well as the real one; where that is too rare to count, it is the tail of a curve through the others.",
    source: "The fault log and the station’s weather, nothing else.",
  },
  qValue: {
    name: "q, adjusted across the fleet",
    how: "The p-values of all sites are put in order; q is the least share of false discoveries among the sites that look like this or more so (Benjamini and Hochberg, 1995).",
    source: "The p-values of every site of the account.",
  },
  wet: {
    name: "Wet hours and their onsets",
    how: "Hours in which a unit could have tripped and we would have known, with a film of water of 0.05 mm or more on the array, summed over units; and the ground-fault episodes that began in them.",
    source: "Fault log, telemetry and the station’s weather.",
  },
  dry: {
    name: "Dry hours and their onsets",
    how: "The same hours at risk, with no film of water on the array; and the episodes that began in them.",
    source: "Fault log, telemetry and the station’s weather.",
  },
  station: {
    name: "Weather station",
    how: "The nearest trusted station that covers the log, or a blend of several where one alone has gaps; the share is of the hours of the log of which rain and film are known.",
    source: "Stations and weather as imported or fetched.",
  },
  rank: {
    name: "Place in the queue",
    how: "Make safe before urgent before planned; within these by the loss that a visit is expected to avoid for its cost.",
    source: "Score, records and contracts of all sites, and the crews.",
  },
  onSite: {
    name: "Hours on site",
    how: "The minutes of every line of the checklist, with those to set up and to get onto a roof, rounded up to a quarter of an hour.",
    source: "Parameter table of visits.",
  },
  worth: {
    name: "What a visit is worth",
    how: "Each term is a loss of the coming year times how much of it a visit is expected to avoid; the trip is what it costs the crew that makes it cheapest. Terms add up.",
    source: "Score, contracts, crews and the parameter table of losses.",
  },
  urgency: {
    name: "Why this urgency",
    how: "Readings and reports that forbid waiting come first, then the probabilities against the limits of the parameter table; lower limits hold where the public may reach the metal or it is not recorded who can. The sentence is written from them.",
    source: "Records of the site and its score.",
  },
  size: {
    name: "Size of the site",
    how: "As recorded; nothing is reckoned.",
    source: "The site’s row in the records, sites.csv.",
  },
  sum: {
    name: "Sum of the evidence",
    how: "The decibans of all items. It is ten times the logarithm of the odds of a bonding or grounding defect, so it says the same as the probability.",
    source: PARAMETERS,
  },
  without: {
    name: "If left out",
    how: "The belief is reckoned again without this item alone; the difference is what the item carries now. Unlike its decibans it does not depend on the order of the items.",
    source: PARAMETERS,
  },
  bits: {
    name: "Expected information of a test",
    how: "Both outcomes are tried: the uncertainty about a bonding defect now, less the uncertainty after each outcome times how likely that outcome is. One bit would settle an even question.",
    source: PARAMETERS,
  },
  outcome: {
    name: "Belief after an outcome",
    how: "The whole belief is reckoned again as if the outcome stood in the records, with its band. Nothing is stored.",
    source: PARAMETERS,
  },
  gap: {
    name: "What is not known",
    how: "A figure in a gap is counted from the records. What is not recorded enters the score neither for nor against; a gap is never a pass.",
    source: "Records of the site.",
  },
  note: {
    name: "Note on the score",
    how: "Counted and reckoned while the score was made; it says how far the figures carry.",
    source: "Fault log, weather and records of the site.",
  },
  counts: {
    name: "Counts of the score",
    how: "Rows of the log as imported; alarms of one unit with less than three hours between them are one episode.",
    source: "faults.csv as imported.",
  },
  log: {
    name: "How the log was read",
    how: "Rows are counted by what became of them, and unit-hours by why they were left out: in the dark, without report, with an episode open, or with weather that nobody observed.",
    source: "Fault log, telemetry, the sun’s position and the station’s weather.",
  },
  older: {
    name: "An earlier score",
    how: "As it was stored when it was made. It can be made again for any day: ask the scores of the API as of that time.",
    source: "Stored scores of this site; none is ever changed.",
  },
  moved: {
    name: "What moved it",
    how: "The decibans of each source in this score less those in the one before, the greatest first. All differences together are the difference of the odds.",
    source: "Both stored scores.",
  },
} as const satisfies Record<string, Told>;

/** How a piece of evidence is weighed, by its source. */
export const EVIDENCE_HOW: Record<string, string> = {
  prior: "How common each cause is taken to be, before anything is known of the site.",
  attributes:
    "Each thing recorded of the site moves the odds of the causes it bears on: sections, bonding hardware, electrodes, age, coast.",
  shared:
    "What confirmed visits found at other sites of the same installer or hardware batch, drawn towards nothing while they are few.",
  repair:
    "What was repaired is less likely to be there still, the more so when it was found for certain and tested after.",
  events:
    "How likely so many onsets in so many hours of rain, dew, thunder, heat, wind and dry are with each set of causes, over a background; counts in runs weigh less.",
  clearing: "The share of wet episodes that ended as the array dried, against what each cause would give.",
  signature: "The share of episodes that tripped more than one inverter at once, against what each cause would give.",
  lag: "The share of episodes near rain that began hours after it, against what each cause would give.",
  dawn: "The share of episodes that began as the array woke, against what each cause would give.",
  measurement: "How likely such a reading is with the defect and without, with the scatter of its meter and method.",
  checklist: "How often a check finds each cause, and how often it finds what is not there.",
  record: "How often such an entry is written with the defect and without.",
  readings: "Insulation and residual current of the inverters, against what each cause would give, wet and dry.",
};

/** Names of what goes into figures. */
export const INPUTS = {
  evidence: "Pieces of evidence",
  sum: "Their decibans together",
  faults: "Ground-fault episodes on record",
  wet: "Wet",
  dry: "Dry",
  onsets: (n: number, hours: string) => `${n} onsets in ${hours} unit-hours at risk`,
  station: "Weather station",
  known: "Hours of the log with known weather",
  p: "p of this site",
  urgency: "Urgency",
  avoided: "Loss avoided a year, expected",
  cost: "Cost of the trip",
  lines: "Lines of the checklist",
  skills: "Skills",
  size: "Size on record",
  rows: "Rows of the log",
  before: "The score before",
  after: "This score",
  computed: "Made",
  noTrip: "no trip is queued",
  none: "none",
} as const;

export const EVIDENCE_WORKING = {
  name: (source: string) => `Evidence: ${source}`,
  how: "Its decibans: ten times the logarithm of how likely this is with a bonding or grounding defect over how likely without one, given the items weighed before it.",
  what: "What is recorded",
  source: PARAMETERS,
} as const;
