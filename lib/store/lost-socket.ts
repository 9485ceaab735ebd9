/**
 * Whether an error is the driver's own slip after a connection was lost: postgres.js 3.4 writes to a socket that is gone,
 * outside of any promise, when a transaction or a lock on that connection is to be ended.
 */
export function isWriteToLostSocket(error: unknown): boolean {
  return (
    error instanceof TypeError &&
    /reading 'write'/.test(error.message) &&
    /\bnextWrite\b.*postgres/s.test(error.stack ?? "")
  );
}

const holder = globalThis as { raintripEndsOnLostSocket?: boolean };

/**
 * End this process on that slip, with one line instead of a stack. What waits for that connection would wait for ever, so
 * living on would be worse: the supervisor starts web server and worker anew, and the tables say what is to be done.
 */
export function endOnLostSocket(): void {
  if (holder.raintripEndsOnLostSocket || process.env.VITEST) return;
  holder.raintripEndsOnLostSocket = true;
  process.on("uncaughtException", (error) => {
    if (isWriteToLostSocket(error)) {
      console.error(
        "raintrip: the connection to the database was lost; run this again, or it is started again by itself",
      );
      process.exit(3);
    }
    if (process.listenerCount("uncaughtException") > 1) return;
    console.error(error);
    process.exit(1);
  });
}
