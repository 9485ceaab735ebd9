import "server-only";
import { noticeSettings } from "../jobs/notice-run.ts";
import type { Actor } from "../store/actor.ts";
import { calendarFeeds } from "../store/calendar-feeds.ts";
import { recipients } from "../store/notice-recipients.ts";
import { noticeLog } from "../store/notices.ts";
import { crews } from "../store/site-records.ts";
import { readTransaction } from "../store/transaction.ts";
import type { GoingOutView } from "./going-out-view.ts";

const LOG_ENTRIES = 100;
const iso = (at: number) => new Date(at).toISOString();

/** Who is told of what, what was sent and how it went, and the calendars that are out. */
export async function readGoingOut(actor: Actor, now = Date.now()): Promise<GoingOutView> {
  const { settings, wrong } = noticeSettings();
  return readTransaction(actor, async (tx) => {
    const all = await crews(tx);
    const name = (crewId: string) => all.find((crew) => crew.crewId === crewId)?.name ?? crewId;
    return {
      ...{ now: iso(now), mailFrom: settings.smtp?.from ?? null, wrong },
      recipients: (await recipients(tx)).map((r) => ({
        ...{ recipientId: r.recipientId, kind: r.kind, address: r.address, makeSafe: r.makeSafe },
        ...{ planChanges: r.planChanges, addedBy: r.addedBy },
        quiet: r.quietFrom === null ? null : `${r.quietFrom} to ${r.quietTo}, ${r.timeZone}`,
      })),
      log: (await noticeLog(tx, LOG_ENTRIES)).map(({ lastAt: _, ...entry }) => ({
        ...entry,
        ...{ madeAt: iso(entry.madeAt), nextAt: iso(entry.nextAt) },
      })),
      crews: all.map((crew) => ({ crewId: crew.crewId, name: crew.name })),
      feeds: (await calendarFeeds(tx)).map((feed) => ({
        ...feed,
        crewName: name(feed.crewId),
        madeAt: iso(feed.madeAt),
      })),
    };
  });
}
