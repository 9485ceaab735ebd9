/**
 * Whether an error is the driver's own slip after a connection was lost: postgres.js 3.4 sends the roll back of the broken
 * transaction to a socket that is gone, outside of any promise. The transaction itself is told of the loss properly.
 */
export function isWriteToLostSocket(error: unknown): boolean {
  return (
    error instanceof TypeError &&
    /reading 'write'/.test(error.message) &&
    /\bnextWrite\b.*postgres/s.test(error.stack ?? "")
  );
}

const holder = globalThis as { raintripToleratesLostSockets?: boolean };

/** Keep that slip from ending this process; any other error that nobody caught still does. */
export function tolerateLostSockets(): void {
  if (holder.raintripToleratesLostSockets) return;
  holder.raintripToleratesLostSockets = true;
  process.on("uncaughtException", (error) => {
    if (isWriteToLostSocket(error) || process.listenerCount("uncaughtException") > 1) return;
    console.error(error);
    process.exit(1);
  });
}
