/** Words of the grounding path on the page of a site, by the file that shows them: what one does not show is not sent to its browser. */

export const GROUNDING_PATH = {
  drawingAndLinks: "Drawing and links",
  groundingPath: "Grounding path",
  fromEveryMetalFrame: "From every metal frame to the service ground, as recorded and inspected up to",
  aLinkCountsAs:
    ". A link counts as verified only by an inspection of that very link. Treat all metal as live whatever is drawn here. Roof above, earth below; thin lines only lead from a box to its links.",
  drawingOfTheGrounding: "Drawing of the grounding path",
  links: "Links",
  theVoltageAlongA:
    "The voltage along a link is the current a DC fault can send times the resistance read there, for verified and measured links only. Anything else may stand at whatever the array puts to ground. An AC fault is not in it.",
  linksOfTheGrounding: "Links of the grounding path",
  link: "Link",
  statusByWhomAnd: "Status, by whom and when",
  voltageOfADc: "Voltage of a DC fault",
  to: (from: string, to: string) => `${from} to ${to}`,
  sizeMadeBy: (name: string, size: string, made: string) => `${name}, size ${size}, made by: ${made}`,
  verifiedByNobody: "Verified by nobody",
  nameNotRecorded: "name not recorded",
  licence: (inspector: string, licence: string) => `${inspector}, licence ${licence}`,
  by: (who: string, day: string) => `By ${who}, ${day}`,
} as const;

export const PATH_DRAWING = {
  bondingPathTheTable: (report: string) => `Bonding path: ${report}. The table of links says the same.`,
  piecesOfMetalLinks: (nodes: number, counts: string) => `${nodes} pieces of metal, links ${counts}`,
} as const;

export const PATH_MARK = {
  notVerified: "not verified",
} as const;

export const PATH_FINDINGS = {
  notConnectedToThe: "Not connected to the service ground",
  nothingIsKnownTo: (report: string) =>
    `Nothing is known to be cut off. ${report} That is no clearance: what nobody measured may be open.`,
  hangsOnOneLink: "Hangs on one link",
  correctItUnderChange: (problem: string) =>
    `${problem} Correct it under “Change what is recorded of the path”, or in the file of sections.`,
  everyPieceHasA: "Every piece has a way to ground over verified links.",
  pieceReaches: "piece reaches",
  piecesReach: "pieces reach",
  itOnlyIfA: (unproven: number, text: string) => `${unproven} ${text} it only if a link holds that nobody verified.`,
  noSingleLinkCarries: "No single link carries a section, inverter, electrode or battery alone.",
  is: "is",
  are: "are",
  withoutItCutOff: (name: string, loses: string, text: string) => `${name}: without it ${loses} ${text} cut off.`,
  linkCarries: "link carries",
  linksCarry: "links carry",
  moreOnlyTheRacking: (singleMetal: number, text: string) =>
    `${singleMetal} more ${text} only the racking, conduit and flashing of a section.`,
  jumpersToPropose: "Jumpers to propose",
  noLinkIsRecorded: "No link is recorded as failed or missing, so none is proposed.",
} as const;

export const PATH_CONDUCTORS = {
  meetsTheMinimum: "✓ meets the minimum",
  cannotTell: "? cannot tell",
  editionNotKnown: "? edition not known",
  conductorsByTheCode: "Conductors by the code",
  theSitesCodeEdition: "The site's code edition is not recorded, so nothing is judged.",
  byTheEditionOf: (edition: string) =>
    `By the ${edition} edition of the NEC. The local authority decides which edition applies.`,
  conductorsAndTheirMinimum: "Conductors and their minimum sizes",
  conductor: "Conductor",
  recordedMinimum: "Recorded / minimum",
  recorded: "Recorded",
  judgement: "Judgement",
  minimum: (required: string) => `minimum ${required}`,
  whatElseToLook: (looks: number) => `What else to look for along them (${looks}): no record tells it`,
  resistanceOfEachFrame: "Resistance of each frame to the service ground, and what a DC fault would put on it",
} as const;

export const PATH_EDITOR = {
  addAPieceOf: "Add a piece of metal …",
  addAFurtherBond: "Add a further bond …",
  changeWhatIsRecorded: "Change what is recorded of the path",
  forWhatSomebodyKnows:
    "For what somebody knows or has seen: it says how things are meant to be, and verifies nothing. Each change is kept with your name and the old value, and the site is scored anew. A later import of a file that holds the same column sets it again.",
  what: "What",
  choose: "choose …",
  thatIsWhatIs: "That is what is recorded already: nothing was changed.",
  shortNameNotUsed: "Short name, not used yet at this site",
  whyAndWhoSaw: "Why, and who saw it",
  save: "Save",
  takeItAway: "Take it away",
  savedWithYourName: "Saved with your name. The path below is new already; the site is being scored anew.",
} as const;

export const PATH_EDIT_FORM = {
  notRecorded: "not recorded",
  suchAsOr250kcmil: "such as 8, 1/0 or 250kcmil",
} as const;

export const PATH_EDIT_FIELDS = {
  madeBy: "Made by",
  conductorSize: "Conductor size",
  materialCopperCladAluminum: "Material (copper-clad: aluminum)",
  listedForWhatIt: "Listed for what it joins",
  electrode: "Electrode",
  lengthOfTheElectrode: "Length of the electrode",
  separateArrayElectrode: "Separate array electrode",
  battery: "Battery",
  electrodeConductorGecSize: "Electrode conductor (GEC), size",
  electrodeConductorMaterial: "Electrode conductor, material",
  serviceConductorsSize: "Service conductors, size",
  codeEdition: "Code edition",
  equipmentGroundingConductorEgc: "Equipment grounding conductor (EGC), size",
  egcMaterial: "EGC, material",
  overcurrentDeviceAcSide: "Overcurrent device, AC side",
  groundingOfTheDc: "Grounding of the DC side",
  serviceGroundBus: "Service ground bus",
  bondedTo: "Bonded to",
  bondedBy: "Bonded by",
  hardwareListedForModule: "Hardware listed for module and rail",
  overcurrentDeviceAOr: "Overcurrent device, A, or none",
  suchAsOrNone: "such as 15, or none",
  combiner: "Combiner",
  whatItIs: "What it is",
  whatPeopleCallIt: "What people call it",
  standsInTheLink: "Stands in the link",
  placeAlongThatLink: "Place along that link, from the array",
  orStandsBesideThe: "Or stands beside the way, bonded to",
  belongsToSection: "Belongs to section",
  belongsToInverter: "Belongs to inverter",
  from: "From",
  to: "To",
} as const;

export const PATH_HISTORY = {
  nothingOfThisPath: "Nothing of this path was changed by hand yet.",
  changesByHand: "Changes by hand",
  changesOfThePath: "Changes of the path by hand",
  whenWho: "When, who",
  what: "What",
  beforeAndAfter: "Before and after",
  setBack: "Set back",
  site: "Site",
  done: "done",
  setBackChange: (seq: number) => `Set back change ${seq}`,
  notRecorded: "not recorded",
  takenAway: "Taken away",
  added: "Added",
} as const;
