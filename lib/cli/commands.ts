type Run = (args: string[]) => Promise<number>;

/** Commands by name, each loaded only when called, so that `help` starts at once. */
export const COMMANDS: Record<string, () => Promise<Run>> = {
  import: async () => (await import("./import.ts")).importCommand,
  score: async () => (await import("./score.ts")).scoreCommand,
  queue: async () => (await import("./queue.ts")).queueCommand,
  plan: async () => (await import("./plan.ts")).planCommand,
  weather: async () => (await import("./weather.ts")).weatherCommand,
  serve: async () => (await import("./serve.ts")).serveCommand,
  worker: async () => (await import("./worker.ts")).workerCommand,
  migrate: async () => (await import("./migrate.ts")).migrateCommand,
  demo: async () => (await import("./demo.ts")).demoCommand,
  doctor: async () => (await import("./doctor.ts")).doctorCommand,
};
