/** Name of the lock that a process holds while it runs an import; the database frees it when the process dies. */
export const importLockKey = (accountId: number, importId: string): string =>
  `raintrip-import/${accountId}/${importId}`;
/** Name of the lock that every process shares while it scores sites of an account: free, none of them is alive. */
export const scoreLockKey = (accountId: number): string => `raintrip-score/${accountId}`;
/** Name of the lock that keeps two processes from drawing the losses of one account at once. */
export const lossLockKey = (accountId: number): string => `raintrip-loss/${accountId}`;
/** Name of the lock that keeps two processes from asking the weather service for one account at once. */
export const weatherLockKey = (accountId: number): string => `raintrip-weather/${accountId}`;
/** Name of the lock that keeps two processes from planning for one account at once. */
export const planLockKey = (accountId: number): string => `raintrip-plan/${accountId}`;
/** Name of the lock that keeps two processes from handing over the notices of one account at once. */
export const noticeLockKey = (accountId: number): string => `raintrip-notices/${accountId}`;
