/** How notices leave this installation. */
export interface NoticeSettings {
  /** Null: no e-mail is sent. */
  smtp: { url: string; from: string } | null;
  /** Webhooks may lead into private networks and need no https. */
  allowPrivate: boolean;
}

export type NoticeConfiguration = {
  settings: NoticeSettings /** What to mend; null: nothing. */;
  wrong: string | null;
};

/**
 * Mail server and webhooks of RAINTRIP_SMTP_URL, RAINTRIP_SMTP_FROM and RAINTRIP_WEBHOOK_PRIVATE. Without an address of a
 * mail server no e-mail is ever sent.
 */
export function noticeConfiguration(env: Readonly<Record<string, string | undefined>>): NoticeConfiguration {
  const allowPrivate = env.RAINTRIP_WEBHOOK_PRIVATE === "1";
  const url = env.RAINTRIP_SMTP_URL?.trim() ?? "";
  const none = { smtp: null, allowPrivate };
  if (url === "") return { settings: none, wrong: null };
  if (!URL.canParse(url) || !/^smtps?:$/.test(new URL(url).protocol))
    return { settings: none, wrong: "RAINTRIP_SMTP_URL is not an address smtp://… or smtps://…" };
  const from = env.RAINTRIP_SMTP_FROM?.trim() ?? "";
  if (!/^[^\s@<>]+@[^\s@<>]+$/.test(from))
    return { settings: none, wrong: "RAINTRIP_SMTP_FROM is missing: the e-mail address that notices come from" };
  return { settings: { smtp: { url, from }, allowPrivate }, wrong: null };
}
