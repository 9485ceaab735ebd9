/** Every way in which an action can fail that a person can do something about. */
export const APP_ERROR_CODES = [
  "wrong_use",
  "not_found",
  "unauthorized",
  "forbidden",
  "conflict",
  "too_large",
  "disk_full",
  "folder_unusable",
  "port_taken",
  "database_unreachable",
  "database_outdated",
  "busy",
  "file_unreadable",
  "cancelled",
  "internal",
] as const;
export type AppErrorCode = (typeof APP_ERROR_CODES)[number];

/** HTTP status of each code: the only such table. */
export const HTTP_STATUS: Record<AppErrorCode, number> = {
  wrong_use: 400,
  not_found: 404,
  unauthorized: 401,
  forbidden: 403,
  conflict: 409,
  too_large: 413,
  disk_full: 507,
  folder_unusable: 500,
  port_taken: 500,
  database_unreachable: 503,
  database_outdated: 503,
  busy: 503,
  file_unreadable: 400,
  cancelled: 409,
  internal: 500,
};

/** A failure with a code and a sentence that says what to do. The message is meant to be read by a user. */
export class AppError extends Error {
  readonly code: AppErrorCode;
  /** What a page's error boundary gets to see of it in place of the message. */
  readonly digest?: string;
  constructor(code: AppErrorCode, options: { message: string; cause?: unknown }) {
    super(options.message, { cause: options.cause });
    this.name = "AppError";
    this.code = code;
    if (code === "forbidden") this.digest = code;
  }
}
