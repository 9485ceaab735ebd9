import { createHash, randomBytes } from "node:crypto";

/** A new secret of 256 bits to be shown once, and what is stored of it. */
export function newSecret(prefix: string): { secret: string; hash: Buffer } {
  const secret = `${prefix}${randomBytes(32).toString("base64url")}`;
  return { secret, hash: hashOf(secret) };
}

/** A secret of 256 random bits needs no slow hash: there is nothing to guess. */
export const hashOf = (secret: string): Buffer => createHash("sha256").update(secret).digest();
