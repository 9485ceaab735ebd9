/** Words of fixes and scores over time on the page of a site, by the file that shows them: what one does not show is not sent to its browser. */

export const FIX_WATCH = {
  didTheFixesHold: "Did the fixes hold",
  noRepairOfA: "No repair of a named cause is recorded, so none is watched.",
  silenceAloneIsNo:
    "Silence alone is no proof: held needs continuity and insulation measured after the repair, the detector enabled as before, and wet hours with the inverters reporting.",
  repaired: (cause: string, day: string, text: string) => `${cause}, repaired ${day}${text}`,
  defectStillThere: "Defect still there",
  wetHoursToThat: "Wet hours to 95 % that it is gone",
  missingToCallIt: "Missing to call it held:",
} as const;

export const BEFORE_AFTER = {
  noHours: "no hours",
  groundFaultsPerUnit: "Ground faults per 1000 unit-hours before and after the repair",
  ratesWithTheArray:
    "Rates with the array wet and dry, before and after; the line across each bar is its 95 % interval. A bond that held brings the wet rate down to the dry one; a span without hours at risk has no bar.",
  array: "Array",
  when: "When",
  groundFaults: "Ground faults",
  unitHours: "Unit-hours",
  perH: "Per 1000 h (95 %)",
} as const;

export const DETECTOR_WORD = {
  isTheGroundFault: "Is the ground-fault detector enabled, with the thresholds it had before the repair?",
  yesLookedAt: (text: string) => `${text}Yes, looked at`,
  noItWasChanged: (text: string) => `${text}No, it was changed`,
  storedWithYourName: "Stored with your name. The site is being scored anew; load the page again in a little while.",
} as const;

export const SCORE_HISTORY = {
  historyOfItsProbability: "History of its probability",
  oneScoreSoFar: "One score so far; the next import, inspection or visit that tells something adds another.",
  probabilityOfABonding: "Probability of a bonding or grounding defect, score by score",
  theLineIsThe:
    "The line is the probability of a bonding or grounding defect after each score, the shaded part its band. A narrowing band means that more is known, not that less is wrong.",
  computed: "Computed",
  recordsUpTo: "Records up to",
  bondingDefect: "Bonding defect",
  theParametersOrThe: "The parameters or the program changed too, so not all of it is news of this site.",
  noEvidenceMovedEnough: "No evidence moved enough to be named.",
  decibansFrom: (decibans: string, source: string) => `${decibans} decibans from ${source}:`,
  decibansFromAllElse: (rest: string) => `${rest} decibans from all else`,
} as const;
