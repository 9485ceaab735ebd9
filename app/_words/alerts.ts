/** Words of alerts, by the file that shows them: what one does not show is not sent to its browser. */

export const ALERTS_VIEW = {
  theAlertsCouldNot: (status: number) => `The alerts could not be refreshed (${status}).`,
  loadingTheAlerts: "Loading the alerts …",
  alerts: "Alerts",
  eachWaitsForSomebody:
    "Each waits for somebody who takes it by name. An emergency that nobody takes within 15 minutes asks the next person below. Nothing is ever deleted here.",
  whatIsShownMay: "What is shown may be old.",
  nobodyHasThese: (waiting: number) => `Nobody has these (${waiting})`,
  noAlertWaitsThat: "No alert waits. That is no clearance.",
  yourName: "Your name",
  andMoreShownAs: (waiting: number) => `and ${waiting} more, shown as these are taken.`,
  somebodyHasThese: "Somebody has these",
  noneYet: "None yet.",
  hasIt: "has it",
  since: "since",
  visit: (visitId: string) => `Visit ${visitId}`,
  writeYourNameAbove: "Write your name above first.",
  iHaveIt: "I have it",
} as const;

export const DUTY_FORM = {
  kept: "Kept.",
  whoAnswers: "Who answers",
  nobodyIsNamedAn: "Nobody is named. An unanswered emergency then has nobody to be asked next.",
  name: (i: number) => `${i}. Name`,
  number: "Number",
  addAPerson: "Add a person",
  keepThisOrder: "Keep this order",
  aPersonLeavesThe: "A person leaves the list when both fields are empty.",
} as const;

export const ALERTS_PAGE = {
  alerts: "Alerts",
} as const;
