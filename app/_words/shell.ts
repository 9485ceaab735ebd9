/** Words of shell, by the file that shows them: what one does not show is not sent to its browser. */

export const MANIFEST = {
  raintripVisits: "Raintrip visits",
  raintrip: "Raintrip",
} as const;
