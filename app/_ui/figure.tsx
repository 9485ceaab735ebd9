import Link from "next/link";
import type { ReactNode } from "react";
import { WORKING } from "@/app/_words/workings.ts";

/** How one figure came about. */
export interface Working {
  id: string;
  name: string;
  /** The figure as it is shown. */
  figure: string;
  /** Name and value of what went in. */
  inputs: readonly (readonly [string, ReactNode])[];
  how: string;
  source: string;
  /** Where its inputs can be looked at. */
  links?: readonly (readonly [string, string])[];
  body?: ReactNode;
}

/** A figure that opens its working: by pointer, Enter or space; Escape closes it and gives the focus back. */
export function Figure({ of, children }: { of: string; children: ReactNode }) {
  return (
    <button type="button" className="figure" popoverTarget={`working-${of}`}>
      {children}
      <span className="visually-hidden">, {WORKING.opens}</span>
    </button>
  );
}

/** The workings that the figures of a page open. The platform's own popover needs no script. */
export function Workings({ list }: { list: readonly Working[] }) {
  return list.map((w) => (
    <div key={w.id} id={`working-${w.id}`} className="working" popover="auto" role="dialog" aria-label={w.name}>
      <h3 className="first">{w.name}</h3>
      <p className="big">{w.figure}</p>
      <h4>{WORKING.goesIn}</h4>
      <dl>
        {w.inputs.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      <h4>{WORKING.how}</h4>
      <p data-how>{w.how}</p>
      {w.body}
      <h4>{WORKING.source}</h4>
      <p data-source>{w.source}</p>
      <p className="buttons">
        {w.links?.map(([href, says]) => (
          <Link key={href} className="button" href={href} prefetch={false}>
            {says}
          </Link>
        ))}
        <button type="button" className="button" popoverTarget={`working-${w.id}`} popoverTargetAction="hide">
          {WORKING.close}
        </button>
      </p>
    </div>
  ));
}
