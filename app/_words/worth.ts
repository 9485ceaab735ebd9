/** What a visit is worth, term by term. */
export const WORTH = {
  fold: "What it is worth",
  ofSite: (site: string) => `, ${site}`,
  reading: "Reading …",
  none: "No terms are stored yet: they come with the next score.",
  term: "Term",
  expected: "Expected",
  whatItIs: "What it is",
  leftOver: "Left over",
  beyondTrip: "what is avoided beyond the trip",
  beyondAvoided: "what the trip costs beyond what it avoids",
  notAdded: ", not added",
  wouldTake: "What would make it worth the trip:",
  more: (sum: string) =>
    `${sum} more of expected loss avoided, or a visit near by on the same day. It is queued all the same: urgency and promises are not weighed against money.`,
  how: "Losses avoided in a year, and a trip of its own by the crew that makes it cheapest. In a plan a trip is shared, so a visit there costs what its detour and its hours cost.",
  names: {
    people: "People",
    property: "Property",
    energy: "Energy",
    escalation: "Repair",
    deadlines: "Deadlines",
    finds: "Found and fixed",
    information: "Information",
    trip_labour: "Hours",
    trip_distance: "Distance",
  } as Record<string, string>,
} as const;
