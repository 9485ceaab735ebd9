import "server-only";
import { spawn } from "node:child_process";
import path from "node:path";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import { readFirstRun } from "../reads/first-run.ts";
import type { Actor } from "../store/actor.ts";
import { removePhotoFiles } from "../store/photo-file.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { newestHour } from "../store/weather.ts";
import { setUpLink } from "./demo-people.ts";

/** Kept for the page that asks twice: a demo that was just asked for has not begun its import yet. */
const holder = globalThis as { raintripDemo?: Promise<void> | undefined };

/**
 * Load the demo fleet into an account without sites, by the same command as anybody's, in a process of its own. Its import
 * tells how far it is.
 * @throws AppError `conflict` when there are sites, or it is being loaded
 */
export async function loadDemoFleet(actor: Actor): Promise<void> {
  authorise(actor, "demo.manage");
  const { sites } = await readFirstRun(actor);
  if (sites > 0)
    throw new AppError("conflict", {
      message: "There are sites already. The demo goes into an empty installation only.",
    });
  if (holder.raintripDemo) throw new AppError("conflict", { message: "The demo is being loaded." });
  await writeTransaction(actor, async () => ({ result: null, note: { action: "demo.request", subject: "demo" } }));
  const root = process.env.RAINTRIP_ROOT ?? process.cwd();
  const child = spawn(
    process.execPath,
    ["--conditions=react-server", "--import", "tsx", path.join("lib", "cli", "main.ts"), "demo"],
    { cwd: root, stdio: ["ignore", "ignore", "inherit"] },
  );
  holder.raintripDemo = new Promise((resolve) => {
    const over = () => {
      holder.raintripDemo = undefined;
      resolve();
    };
    child.once("exit", over);
    child.once("error", over);
  });
}

/** Whether this process is loading the demo. */
export const demoIsLoading = (): boolean => holder.raintripDemo !== undefined;

export const RemoveDemo = z.object({ confirm: z.string() });

/**
 * Remove the demo: what came with it, what was computed and entered on it, and its people. Own sites stay; the audit log
 * says that it was here.
 * @returns how many sites went, and the link by which the first person sets this installation up, when nobody can sign in any more
 * @throws AppError `wrong_use` without the word, `conflict` when nothing is marked as the demo's
 */
export async function removeDemo(
  actor: Actor,
  { confirm }: z.infer<typeof RemoveDemo>,
): Promise<{ sites: number; setUp: string | null }> {
  authorise(actor, "demo.manage");
  if (confirm !== "remove")
    throw new AppError("wrong_use", { message: 'Removing the demo cannot be undone. Send the word "remove".' });
  const { sites, photos } = await writeTransaction(actor, async (tx) => {
    const [mark] = await tx`SELECT 1 FROM demo_mark LIMIT 1`;
    if (!mark)
      throw new AppError("conflict", {
        message:
          "Nothing here is marked as the demo's, so nothing was removed. A demo that an older release loaded is marked on the machine itself: npm run raintrip -- demo --mark",
      });
    const shas = await tx<{ sha256: string }[]>`
      SELECT DISTINCT p.sha256 FROM visit_photo p JOIN demo_mark m ON m.kind = 'site' AND m.id = p.site_id
      WHERE NOT EXISTS (SELECT 1 FROM visit_photo o LEFT JOIN demo_mark om ON om.kind = 'site' AND om.id = o.site_id
        WHERE o.sha256 = p.sha256 AND om.id IS NULL)`;
    const [removed] = await tx<{ result: { sites: number; own_sites: number } }[]>`SELECT remove_demo() AS result`;
    await settleWeatherHorizon(tx);
    const detail = { sites: removed?.result.sites ?? 0, own_sites: removed?.result.own_sites ?? 0 };
    return {
      result: { sites: detail.sites, photos: shas.map((row) => row.sha256) },
      note: { action: "demo.remove", subject: "demo", detail },
    };
  });
  removePhotoFiles(photos);
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return { sites, setUp: await setUpLink({ ...actor, role: "administrator" }) };
}

/** The newest hour of the weather that is left. */
async function settleWeatherHorizon(tx: Sql): Promise<void> {
  const left = await tx<{ station_id: string }[]>`SELECT station_id FROM station WHERE account_id = current_account()`;
  let newest: number | null = null;
  for (const { station_id } of left) {
    const at = await newestHour(tx, station_id);
    if (at !== null) newest = Math.max(newest ?? at, at);
  }
  if (newest !== null)
    await tx`UPDATE data_horizon SET weather_at = ${new Date(newest)} WHERE account_id = current_account()`;
}
