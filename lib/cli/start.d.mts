export function checkNode(version?: string): string | null;
export function install(): void;
export function build(): void;
