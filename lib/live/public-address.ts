import dns from "node:dns";
import type { LookupFunction } from "node:net";
import net from "node:net";
import ipaddr from "ipaddr.js";

/** Whether an address may be called from a server: none of this host, of a private or link-local network, or reserved. */
export function isPublicAddress(address: string): boolean {
  if (!ipaddr.isValid(address)) return false;
  // An IPv4 address inside an IPv6 one counts as what it leads to.
  const parsed = ipaddr.process(address);
  if (parsed.kind() === "ipv6") {
    const range = parsed.range();
    if (range !== "unicast") return false;
    // The registry gives 2000::/3 to the public internet alone (IANA IPv6 Global Unicast Address Space, from memory).
    return ((parsed as ipaddr.IPv6).parts[0] as number) >> 13 === 1;
  }
  return parsed.range() === "unicast";
}

export class PrivateAddress extends Error {
  constructor(host: string) {
    super(`${host} leads to an address of a private network, which is not called`);
    this.name = "PrivateAddress";
  }
}

/** Resolve a name and refuse it when any of its addresses is not public; what is checked is what is connected to. */
export const publicLookup: LookupFunction = (hostname, options, done) => {
  dns.lookup(hostname, { ...options, all: true }, (error, addresses) => {
    if (error) {
      done(error, "", 0);
      return;
    }
    if (addresses.length === 0 || addresses.some(({ address }) => !isPublicAddress(address))) {
      done(new PrivateAddress(hostname), "", 0);
      return;
    }
    if (options.all) (done as unknown as (e: null, all: typeof addresses) => void)(null, addresses);
    else done(null, addresses[0]?.address ?? "", addresses[0]?.family ?? 0);
  });
};

/** @throws PrivateAddress when a host that is an address itself is not public */
export function refusePrivateHost(hostname: string): void {
  const bare = hostname.replace(/^\[|\]$/g, "");
  if (net.isIP(bare) !== 0 && !isPublicAddress(bare)) throw new PrivateAddress(hostname);
}
