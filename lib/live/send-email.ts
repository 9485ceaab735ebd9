import { createTransport } from "nodemailer";
import type { Delivery } from "./send-webhook.ts";

export interface Email {
  to: string;
  subject: string;
  text: string;
  noticeId: string;
}

const TIMEOUT_MS = 15_000;

/** Hand one plain-text e-mail to the mail server. Sent again, it carries the same Message-ID, by which doubles are known. */
export async function sendEmail({ url, from }: { url: string; from: string }, mail: Email): Promise<Delivery> {
  const transport = createTransport(url, { from });
  Object.assign(transport.options, {
    ...{ connectionTimeout: TIMEOUT_MS, greetingTimeout: TIMEOUT_MS, socketTimeout: TIMEOUT_MS },
    ...{ disableFileAccess: true, disableUrlAccess: true },
  });
  const domain = from.slice(from.indexOf("@") + 1);
  try {
    await transport.sendMail({
      from,
      to: { name: "", address: mail.to },
      // A line end in a subject would begin another header.
      subject: mail.subject.replace(/[\r\n]+/g, " "),
      text: mail.text,
      messageId: `<${mail.noticeId}@${domain}>`,
      headers: { "Auto-Submitted": "auto-generated" },
    });
    return { ok: true, says: "taken by the mail server" };
  } catch (error) {
    if (!(error instanceof Error)) throw error;
    const { responseCode, code } = error as Error & { responseCode?: number; code?: string };
    const says = responseCode
      ? `the mail server answered ${responseCode}`
      : `the mail server was not reached (${code ?? error.name})`;
    return { ok: false, says, final: (responseCode ?? 0) >= 500 && code === "EENVELOPE" };
  } finally {
    transport.close();
  }
}
