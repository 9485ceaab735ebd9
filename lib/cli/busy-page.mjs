/** What a person sees who is told to come back: plain, without anything to load, and it asks again by itself. */
export function busyPage(retryAfterS) {
  return `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<meta http-equiv="refresh" content="${Math.round(retryAfterS)}"><meta name="color-scheme" content="light dark"><title>Raintrip is busy</title></head>
<body><main><h1>Raintrip is busy</h1><p>More is being asked than can be answered in good time. This page asks again by itself in ${Math.round(retryAfterS)} s.
What it would show is not known now: that is no clearance of any site.</p></main></body></html>
`;
}
