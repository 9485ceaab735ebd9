import type { ReactNode } from "react";

/** What went wrong, said at once to screen readers too. Nothing while there is nothing to say. */
export function Trouble({ says, children }: { says?: ReactNode; children?: ReactNode }) {
  if (!says) return null;
  return (
    <p className="note danger" role="alert">
      {says}
      {children}
    </p>
  );
}

/** A remark beside the work. `gap`: something is not known or not recorded; `danger`: it cannot wait. */
export function Note({ kind, children }: { kind?: "gap" | "danger"; children: ReactNode }) {
  return <p className={kind ? `note ${kind}` : "note"}>{children}</p>;
}

/** Where a list would be: that there is nothing, what that means, and what to do about it. */
export function Empty({ title, children, action }: { title?: string; children: ReactNode; action?: ReactNode }) {
  if (!title && !action) return <p className="empty">{children}</p>;
  return (
    <div className="empty">
      {title ? <h2 className="first">{title}</h2> : null}
      <p>{children}</p>
      {action ? <p>{action}</p> : null}
    </div>
  );
}

/** What an action came to, read out when it changes. The element is always there, or the first message would be missed. */
export function Said({ children }: { children?: ReactNode }) {
  return (
    <p role="status" className="said">
      {children}
    </p>
  );
}

/** While something is being read. */
export function Waiting({ label }: { label: string }) {
  return (
    <div role="status" aria-label={label}>
      <div className="skeleton w320" />
      <div className="skeleton w240" />
    </div>
  );
}
