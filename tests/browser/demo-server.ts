import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import path from "node:path";
import { freePort } from "../support/free-port.mjs";

const root = path.resolve(import.meta.dirname, "..", "..");

export interface DemoServer {
  url: string;
  /** Signed in as the demo's administrator, as Playwright keeps it. */
  session: { cookies: Cookie[]; origins: [] };
  stop: () => Promise<void>;
}
interface Cookie {
  name: string;
  value: string;
  domain: string;
  path: string;
  expires: number;
  httpOnly: boolean;
  secure: boolean;
  sameSite: "Lax";
}

/**
 * The demo, for scripts that take pictures or measure: the installation that RAINTRIP_URL names, or one that is served
 * meanwhile from its own data folder under test-results, which the next script finds again.
 * @throws Error with what the server said when it does not start or lets nobody in
 */
export async function demoServer(): Promise<DemoServer> {
  const running = process.env.RAINTRIP_URL;
  if (running) return { url: running, session: await sessionAt(running), stop: async () => {} };
  const port = await freePort();
  const data = path.join(root, "test-results", "demo-data");
  if (!existsSync(data)) console.log("loading the demo fleet, about a minute, once …");
  const server = spawn(process.execPath, ["lib/cli/start.mjs"], {
    cwd: root,
    env: { ...process.env, RAINTRIP_DATA: data, PORT: String(port), RAINTRIP_DEMO: "1" },
    stdio: ["ignore", "pipe", "pipe"],
  });
  let said = "";
  await new Promise<void>((resolve, reject) => {
    const hear = (chunk: Buffer) => {
      said += chunk;
      if (said.includes("Raintrip is ready")) resolve();
    };
    server.stdout.on("data", hear);
    server.stderr.on("data", hear);
    server.once("exit", (code) => reject(new Error(`npm start ended with ${code}:\n${said}`)));
  });
  const stop = async () => {
    const gone = new Promise((resolve) => server.once("exit", resolve));
    server.kill("SIGINT");
    await gone;
  };
  const url = `http://localhost:${port}`;
  return { url, session: await sessionAt(url), stop };
}

async function sessionAt(url: string): Promise<DemoServer["session"]> {
  const reply = await fetch(`${url}/api/auth/sign-in/demo`, {
    method: "POST",
    headers: { "content-type": "application/json", origin: url },
    body: JSON.stringify({ person: "demo-administrator" }),
  });
  const line = reply.headers.getSetCookie().find((cookie) => cookie.includes("session_token="));
  if (!line) throw new Error(`${url} let nobody in (${reply.status}); is it the demo?`);
  const [name, value] = (line.split(";")[0] as string).split("=") as [string, string];
  const cookie = {
    ...{ name, value, domain: new URL(url).hostname, path: "/", expires: -1 },
    ...{ httpOnly: true, secure: false, sameSite: "Lax" as const },
  };
  return { cookies: [cookie], origins: [] };
}
