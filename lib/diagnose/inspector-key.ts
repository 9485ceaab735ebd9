const PREFIX = "inspector.";

/** Key of the row that holds how far an inspector's checks differ from the fleet's, in log odds. */
export function inspectorKey(name: string, kind: "sensitivity" | "falsePositive"): string {
  return `${PREFIX}${name}.${kind}`;
}

/** Rows that exist only where something was learned of a person; absent, the person is as the fleet. */
export function isInspectorKey(key: string): boolean {
  return key.startsWith(PREFIX) && key !== "inspector.spread";
}
