/** Words of books, by the file that shows them: what one does not show is not sent to its browser. */

export const BOOKS_VIEW = {
  booksAtAGlance: "Books at a glance",
  recordsUpTo: (asOf: string) => ` Records up to ${asOf}.`,
  whatEachBookOf: (text: string) =>
    `What each book of sites stands to lose in the coming year if nobody goes, which days come next, and what was found.${text}`,
  stale: "Stale.",
  scoresContractsOrParameters:
    "Scores, contracts or parameters have moved since these figures were drawn; new ones follow by themselves.",
  noBookOfSites: "No book of sites is yours to see. Ask an administrator, who gives books to their owners.",
  daysThatComeNext: (total: number) => `Days that come next (${total})`,
  noDeadlineIsKnown:
    "No deadline is known: nothing is entered as discovered, and nothing suspected under a contract in force. That is no clearance.",
  readTheContractNotify: "Read the contract, notify now",
  suspectedAndNotDiscovered: ", suspected and not discovered",
  contract: (coverageId: string) => `, contract ${coverageId}`,
  allDeadlinesAndContracts: "All deadlines and contracts",
  calendar: "Calendar",
  report: (month: string) => `Report ${month}`,
  trendByMonth: "Trend by month",
  expectedLossOfThe: "Expected loss of the coming year, net",
  notDrawnYet: "not drawn yet",
  grossAndWhatMay: "Gross, and what may be recovered of it",
  expectedShortfallMeanOf: "Expected shortfall, 97.5 %: mean of the worst years",
  recoveryThatMissingProof: "Recovery that missing proof costs",
  sites: "Sites",
  kwDcMakeSafe: (sites: number, kw: string, make_safe: number, urgent: number, planned: number, watch: number) =>
    `${sites}, ${kw} kW DC: ${make_safe} make safe, ${urgent} urgent, ${planned} planned, ${watch} on watch`,
  bondingOrGroundingDefects: "Bonding or grounding defects",
  expectedToFoundOpen: (value: string, low: string, high: string, open: number, put_right: number, held: number) =>
    `${value} expected (${low} to ${high}); found: ${open} open, ${put_right} put right, ${held} repairs known to have held`,
  deadlines: "Deadlines",
  ofWhichPressOf: (total: number, pressing: number, atRisk: string) =>
    `${total}, of which ${pressing} press; ${atRisk} of expected recovery hang on them`,
  sitesWithTheGreatest: "Sites with the greatest expected loss",
  sitesOf: (book: string) => `Sites of ${book}`,
  site: "Site",
  bondingDefect: "Bonding defect",
  expectedNet: "Expected, net",
  missingProofWorthMost: "Missing proof worth most",
  missingProof: "Missing proof",
  noneKnown: "none known",
} as const;

export const BOOKS_PAGE = {
  books: "Books",
} as const;
