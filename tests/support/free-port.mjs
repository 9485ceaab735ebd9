import net from "node:net";

/**
 * A TCP port of this machine that nobody listens on now.
 * @returns {Promise<number>}
 */
export function freePort() {
  return new Promise((resolve) => {
    const probe = net.createServer().listen(0, "127.0.0.1", () => {
      const { port } = /** @type {net.AddressInfo} */ (probe.address());
      probe.close(() => resolve(port));
    });
  });
}
