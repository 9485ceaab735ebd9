// One process at a time does what a lock file names. Plain Node with no dependency, because nothing is installed yet.
import { existsSync, linkSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";

const LOOK_MS = 200;

const pause = () => Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, LOOK_MS);

/** When a process began, in ticks since the machine did; null where the system does not say. With it a pid is one process for good. */
function beganAt(pid) {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, "utf8");
    return stat.slice(stat.lastIndexOf(")") + 2).split(" ")[19];
  } catch {
    return null;
  }
}

/** Who has it; pid 0 where it cannot be read. @returns null: nobody, it is gone */
function read(file) {
  try {
    const { pid, began } = JSON.parse(readFileSync(file, "utf8"));
    return { pid: Number(pid) || 0, began };
  } catch (error) {
    return error.code === "ENOENT" ? null : { pid: 0, began: null };
  }
}

function isAlive({ pid, began }) {
  if (pid <= 0) return false;
  try {
    process.kill(pid, 0);
  } catch (error) {
    if (error.code !== "EPERM") return false;
  }
  return began === null || began === beganAt(pid);
}

/** Whole from the moment that it is there, so that nobody reads half of it. @returns false: somebody has it */
function take(file) {
  const mine = `${file}.${process.pid}`;
  const says = JSON.stringify({ pid: process.pid, began: beganAt(process.pid) });
  writeFileSync(mine, says);
  try {
    try {
      linkSync(mine, file);
    } catch (error) {
      if (error.code === "EEXIST") throw error;
      writeFileSync(file, says, { flag: "wx" }); // a file system without links
    }
    return true;
  } catch (error) {
    if (error.code !== "EEXIST") throw error;
    return false;
  } finally {
    rmSync(mine, { force: true });
  }
}

/** Put a lock away whose process is gone. Whoever finds that they moved a newer one puts it back. @returns whether it was that one */
function putAway(file, gone) {
  const aside = `${file}.${process.pid}.gone`;
  try {
    renameSync(file, aside);
  } catch (error) {
    if (error.code === "ENOENT") return false; // somebody else did
    throw error;
  }
  const moved = read(aside);
  const isThat = moved?.pid === gone.pid && moved.began === gone.began;
  if (!isThat && !existsSync(file)) linkSync(aside, file);
  rmSync(aside, { force: true });
  return isThat;
}

/**
 * Do `work` (which waits for nothing but itself) when no other process does: wait for one that does, and take over from one
 * that was killed.
 * @param file lock, holds who has it
 * @param say told once whom it waits for, and from whom it takes over
 */
export function inOwnTurn(file, say, work) {
  mkdirSync(path.dirname(file), { recursive: true });
  let told = null;
  while (!take(file)) {
    let holder = read(file);
    if (holder?.pid === 0) {
      pause(); // it may be being written
      holder = read(file);
    }
    if (!holder) continue;
    if (!isAlive(holder)) {
      if (putAway(file, holder)) say(`process ${holder.pid} was cut off while it was at this; taking over`);
      continue;
    }
    if (told !== holder.pid) say(`process ${holder.pid} is at this already; waiting for it …`);
    told = holder.pid;
    pause();
  }
  const giveBack = () => {
    if (read(file)?.pid === process.pid) rmSync(file, { force: true });
  };
  process.once("exit", giveBack); // also where the work gives up
  try {
    return work();
  } finally {
    process.off("exit", giveBack);
    giveBack();
  }
}
