import type { ReactNode } from "react";

/** Facts in pairs of name and value, side by side where there is room. */
export function Facts({ facts, data }: { facts: readonly (readonly [string, ReactNode])[]; data?: `data-${string}` }) {
  return (
    <dl className="facts" {...(data ? { [data]: true } : {})}>
      {facts.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}
