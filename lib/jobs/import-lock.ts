/** Name of the lock that a process holds while it runs an import; the database frees it when the process dies. */
export const importLockKey = (accountId: number, importId: string): string =>
  `raintrip-import/${accountId}/${importId}`;
/** Name of the lock that keeps two processes from scoring one account at once. */
export const scoreLockKey = (accountId: number): string => `raintrip-score/${accountId}`;
