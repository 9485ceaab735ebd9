/** An address as it may be written down: without its query and without the secrets of links. */
export function plainPath(address: string): string;
