type Run = (args: string[]) => Promise<number>;

/** Commands by name, each loaded only when called, so that `help` starts at once. */
export const COMMANDS: Record<string, () => Promise<Run>> = {
  import: async () => (await import("./import.ts")).importCommand,
  score: async () => (await import("./score.ts")).scoreCommand,
  queue: async () => (await import("./queue.ts")).queueCommand,
  plan: async () => (await import("./plan.ts")).planCommand,
  "travel-times": async () => (await import("./travel-times.ts")).travelTimesCommand,
  exposure: async () => (await import("./exposure.ts")).exposureCommand,
  weather: async () => (await import("./weather.ts")).weatherCommand,
  evidence: async () => (await import("./evidence.ts")).evidenceCommand,
  verify: async () => (await import("./verify.ts")).verifyCommand,
  backup: async () => (await import("./backup.ts")).backupCommand,
  restore: async () => (await import("./restore.ts")).restoreCommand,
  token: async () => (await import("./token.ts")).tokenCommand,
  person: async () => (await import("./person.ts")).personCommand,
  link: async () => (await import("./person.ts")).linkCommand,
  serve: async () => (await import("./serve.ts")).serveCommand,
  worker: async () => (await import("./worker.ts")).workerCommand,
  migrate: async () => (await import("./migrate.ts")).migrateCommand,
  demo: async () => (await import("./demo.ts")).demoCommand,
  "demo-drop": async () => (await import("./demo-drop.ts")).demoDropCommand,
  doctor: async () => (await import("./doctor.ts")).doctorCommand,
};
