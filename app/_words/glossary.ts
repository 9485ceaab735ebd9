export interface Term {
  /** Anchor of its address. */
  id: string;
  name: string;
  says: string;
}

/** Terms as the screens use them, in plain words. Alphabetical. */
export const GLOSSARY: readonly Term[] = [
  [
    "band",
    "Band, 5 % to 95 %",
    "The two ends between which a probability lies when the numbers behind it are doubted as much as they should be. No probability is shown without it.",
  ],
  [
    "bond",
    "Bond",
    "A joint made to keep two pieces of metal at the same voltage: a clip, a lug, a jumper. A bond that carries a fault too must hold until the protection trips.",
  ],
  [
    "bonding-defect",
    "Bonding or grounding defect",
    "Metal that should be bonded or grounded and is not, or not well enough. It is silent until something leaks; then the metal may become live.",
  ],
  ["book", "Book", "An owner’s sites of one portfolio. Money and contracts are added up by book."],
  [
    "clock",
    "Clock of a log",
    "How the times in a fault log are to be read. A wrong clock moves faults into the wrong weather, so it is checked against the sun.",
  ],
  [
    "conditions",
    "Conditions",
    "What a contract asks for so that it pays: met, broken, or unknown. Without a record a condition is unknown.",
  ],
  [
    "deciban",
    "Deciban (dB)",
    "A measure of evidence: ten times the logarithm of how much it changes the odds. Ten decibans make a thing ten times as likely, three about twice. Above zero speaks for a defect, below zero against.",
  ],
  [
    "discovery",
    "Discovery",
    "A named person’s word that something was found, at the moment it was entered. It starts the clock of a contract. The program only suspects.",
  ],
  [
    "drawn-year",
    "Drawn year",
    "One possible coming year of losses, simulated for the whole account. Many of them make the figures under Exposure.",
  ],
  [
    "egc",
    "EGC, GEC",
    "Equipment grounding conductor: the path a fault takes back to its source. Grounding electrode conductor: the one to the electrode in the earth. Neither is ever opened to see what happens.",
  ],
  [
    "episode",
    "Episode, onset",
    "Alarms of one unit with less than three hours between them are one episode; it begins with its onset. Onsets are counted, never rows.",
  ],
  [
    "evidence-file",
    "Evidence file",
    "A folder with everything behind one site’s score, and a list that names each part with a checksum, so that a change shows.",
  ],
  [
    "exposure",
    "Expected loss, gross and net",
    "What the coming year costs on average; net is after what contracts may pay. The average is carried by a few rare and very bad years.",
  ],
  [
    "film",
    "Film of water",
    "How deep the water lies on the array. Rain and dew lay it down, sun and wind dry it off. Wet means 0.05 mm (2 mil) or more.",
  ],
  [
    "fix-watch",
    "Fix watch",
    "After a repair: whether wet hours now pass without ground faults, and how many more it takes to be 95 % sure.",
  ],
  ["gap", "Gap", "Something that nobody recorded, measured or delivered. A gap is never a pass."],
  [
    "ground-fault",
    "Ground fault",
    "Current that returns by metal or earth instead of by its conductor. The inverter trips on it; in the wet it often clears by itself, and nobody sees the pattern.",
  ],
  [
    "grounding-path",
    "Grounding path",
    "The links from every metal frame to the ground of the service. A link is verified only by an inspection of that very link.",
  ],
  [
    "hours-at-risk",
    "Hours at risk, unit-hours",
    "Hours in which a unit could have tripped and we would have known: in light, reporting, no episode open, weather known. Summed over units they are unit-hours.",
  ],
  [
    "insulation",
    "Insulation resistance",
    "What keeps the conductors from the frames, in megohms. It falls when water gets in and long before the first trip.",
  ],
  ["interval", "Interval, 95 %", "The values of a rate that go with what was counted. Few counts make it wide."],
  [
    "isolated",
    "Isolated",
    "Locked out by somebody who signed for it. It stops AC and inverter current only: the array stays live in light.",
  ],
  [
    "make-safe",
    "Make safe",
    "Somebody could be hurt: go now. It runs in fixed steps to its end, each with a name: told, isolated, repaired, tested, authorised, watched.",
  ],
  [
    "energised-metal",
    "Metal that may be energised",
    "A defect and a leak at once: touching it can kill. Another question than a defect alone.",
  ],
  ["mil", "mil", "A thousandth of an inch, 0.0254 mm. Films of water are given in it when you read in US units."],
  [
    "p-and-q",
    "p and q",
    "p: how often chance alone would look at least like this. q: of all sites that look like this or more so, the share that is chance. Small is strong.",
  ],
  [
    "parameter",
    "Parameter",
    "A number that the scores rest on, with its unit, its spread and where it comes from. Most are judgement until confirmed visits replace them.",
  ],
  [
    "probability",
    "Probability",
    "How likely the program holds something, from 0 to 1, given what is recorded. It ranks sites with reasons. It is no measured frequency.",
  ],
  [
    "rate-ratio",
    "Rate ratio, wet : dry",
    "How many times as often a unit trips in a wet hour at risk as in a dry one. 1 is no difference.",
  ],
  [
    "set-aside",
    "Set aside",
    "A row of a file that could not be used. It is kept with its place and the reason, and can be corrected and imported again.",
  ],
  ["unit", "Unit", "Inverters that share a bond or a combiner, so that they trip together; or one inverter alone."],
  [
    "urgency",
    "Urgency",
    "Make safe before urgent before planned; then by the loss that a visit is expected to avoid for its cost. Watch: not worth a trip yet, with what would change that.",
  ],
  [
    "shortfall",
    "Value at risk, expected shortfall",
    "Value at risk, 95 %: a loss that nineteen years of twenty stay below. Expected shortfall, 97.5 %: the mean of the worst fortieth of the years.",
  ],
  [
    "verified",
    "Verified, unverified, failed, missing",
    "What is known of a link: an inspection of it passed; nobody looked; an inspection of it failed; it is not there.",
  ],
].map(([id, name, says]) => ({ id, name, says }) as Term);

export const GLOSSARY_PAGE = {
  title: "Glossary",
  says: "The terms as these pages use them. Where the code or a contract defines a term, that definition governs.",
} as const;
