/** Words of share, by the file that shows them: what one does not show is not sent to its browser. */

export const SHARED_NOT_FOUND = {
  thisLinkOpensNothing: "This link opens nothing",
  itMayBeOver: "It may be over, or it was revoked. Ask whoever gave it to you for a new one.",
} as const;

export const SHARED_ONE_PAGE = {
  evidenceOfASite: "Evidence of a site",
} as const;

export const SHARED_SITE = {
  sharedByWithTo: (sharedBy: string, madeFor: string) => `Shared by ${sharedBy} with ${madeFor}, to read until`,
  inMetricAlone: "Show metric units only",
  withUsUnits: "Show US units too",
  eachOpeningIsRecorded: ". Each opening is recorded.",
} as const;
