import type { IncomingHttpHeaders } from "node:http";

export const OWN_HEADERS: string[];
export function refusal(
  request: { method?: string; headers: IncomingHttpHeaders },
  publicHost: string | null,
): string | null;
export function peerAddress(
  request: { headers: IncomingHttpHeaders; socket: { remoteAddress?: string } },
  trustProxy: boolean,
): string;
