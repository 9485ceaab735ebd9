export function inOwnTurn<T>(file: string, say: (line: string) => void, work: () => T): T;
