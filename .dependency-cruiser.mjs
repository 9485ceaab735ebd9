// The direction of imports: app and cli use doors, doors use the shell, the shell uses pure rooms; a pure room
// uses only rooms above it. tests/architecture.test.ts feeds these rules bad files, so that a mistyped pattern
// cannot pass in silence.
const PURE = [
  "core",
  "weather",
  "faults",
  "contract",
  "mapping",
  "correlate",
  "grounding",
  "diagnose",
  "coverage",
  "visit",
  "dispatch",
];

const pureRoom = (room, index) => ({
  name: `pure-${room}`,
  comment: `lib/${room} computes only: it may import ${PURE.slice(0, index + 1).join(", ")} and libraries that compute.`,
  severity: "error",
  from: { path: `^lib/${room}/` },
  to: {
    pathNot: [
      `^lib/(${PURE.slice(0, index + 1).join("|")})/`,
      "^node_modules/(@stdlib|ml-matrix|temporal-polyfill|temporal-spec|zod|fastest-levenshtein|@types)/",
    ],
  },
});

export default {
  forbidden: [
    ...PURE.map(pureRoom),
    {
      name: "shell-below-doors",
      comment: "The shell serves the doors and never calls them, except a job that carries out a write.",
      severity: "error",
      from: { path: "^lib/(ingest|store|report|live|sign-in)/" },
      to: { path: "^lib/(reads|writes|cli|jobs)/" },
    },
    {
      name: "report-writes-what-it-is-given",
      comment: "What is drawn or checked comes as a value, so that a file can be verified without a database.",
      severity: "error",
      from: { path: "^lib/report/" },
      to: { path: "^lib/(ingest|store|live)/" },
    },
    {
      name: "store-alone-knows-the-database",
      comment: "Prisma and the generated client stay inside lib/store; others get records.",
      severity: "error",
      from: { path: "^(app|lib)/", pathNot: "^lib/store/" },
      to: { path: "(^lib/store/generated/)|(^node_modules/@prisma/)" },
    },
    {
      name: "sign-in-alone-knows-its-library",
      comment:
        "Who asks is a value; how they proved it stays inside lib/sign-in (the browser's half of it in app/sign-in).",
      severity: "error",
      from: { path: "^(app|lib)/", pathNot: "^(lib/sign-in|app/_sign-in)/" },
      to: { path: "^node_modules/(better-auth|@better-auth)/" },
    },
    {
      name: "app-through-doors",
      comment: "Pages and routes use the doors and pure rooms only; the shell is not theirs to call.",
      severity: "error",
      from: { path: "^app/" },
      to: { path: "^lib/(ingest|store|jobs|report|live|sign-in|cli)/" },
    },
    {
      name: "nothing-imports-app",
      comment: "lib never reaches up into app.",
      severity: "error",
      from: { path: "^lib/" },
      to: { path: "^app/" },
    },
    {
      name: "seed-for-scripts-and-tests",
      comment: "The demo's truth is invented data: only the demo commands and tests may touch seed/.",
      severity: "error",
      from: { path: "^(app|lib)/", pathNot: "^lib/cli/demo(-drop)?\\.ts$" },
      to: { path: "^seed/" },
    },
    {
      name: "no-circular",
      severity: "error",
      comment: "A cycle has no order to read it in.",
      from: {},
      to: { circular: true },
    },
  ],
  options: {
    doNotFollow: { path: "node_modules|lib/store/generated" },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: "tsconfig.json" },
    enhancedResolveOptions: {
      exportsFields: ["exports"],
      conditionNames: ["import", "require", "node", "default", "types"],
      extensions: [".ts", ".tsx", ".mjs", ".js", ".json"],
    },
  },
};
