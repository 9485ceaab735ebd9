// What the web server asks of a request before any page or route sees it. Plain Node, because it runs outside the bundle.

const LOOPBACK_HOST = /^(localhost|127\.0\.0\.1|\[::1\])(:\d+)?$/i;
const READS = new Set(["GET", "HEAD", "OPTIONS"]);

/** Headers that only this server may set; what a client sends under these names is dropped. */
export const OWN_HEADERS = ["x-raintrip-peer", "x-raintrip-address", "x-raintrip-path"];

const hostOf = (origin) => (URL.canParse(origin) ? new URL(origin).host.toLowerCase() : null);

/**
 * Why a request is refused, or null. The Host must be a name of this installation, so that no page of another site reaches
 * it under a name of its own (DNS rebinding); a browser's request must come from a page of this very origin, port included,
 * because pages of other programs on the same machine count as the same site and would be sent with the cookie.
 * @param {{ method?: string, headers: Record<string, string | string[] | undefined> }} request
 * @param {string | null} publicHost host of RAINTRIP_URL; null: loopback only
 */
export function refusal(request, publicHost) {
  const { headers, method = "GET" } = request;
  const host = String(headers.host ?? "").toLowerCase();
  if (!(publicHost === null ? LOOPBACK_HOST.test(host) : host === publicHost.toLowerCase() || LOOPBACK_HOST.test(host)))
    return "Raintrip does not answer under this name. Use the address that it printed at its start, or set RAINTRIP_URL.";
  const origin = headers.origin === undefined ? null : String(headers.origin);
  if (origin !== null && hostOf(origin) !== host) return "Raintrip does not answer to pages of another site.";
  if (READS.has(method)) return null;
  const site = headers["sec-fetch-site"];
  if (site !== undefined && site !== "same-origin" && site !== "none")
    return "Raintrip does not take changes from pages of another site.";
  // A program shows its token and no cookie; a browser always says where a change comes from.
  if (origin === null && headers.cookie !== undefined)
    return "A change with a cookie must say where it comes from (Origin). Programs: send a token instead of a cookie.";
  return null;
}

/**
 * Address of the asker. Behind a proxy of one's own (RAINTRIP_TRUST_PROXY=1) the last entry of X-Forwarded-For, which that
 * proxy wrote; otherwise whoever holds the connection.
 */
export function peerAddress(request, trustProxy) {
  const forwarded = request.headers["x-forwarded-for"];
  const last = trustProxy && forwarded ? String(forwarded).split(",").at(-1)?.trim() : null;
  return last || (request.socket.remoteAddress ?? "").replace(/^::ffff:/, "");
}
