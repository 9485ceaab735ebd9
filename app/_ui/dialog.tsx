"use client";

import { type ReactNode, useEffect, useId, useRef } from "react";
import { SHARED } from "@/app/_words/shared.ts";

interface Props {
  isOpen: boolean;
  title: string;
  onClose: () => void;
  children: ReactNode;
  /** Buttons at the end; one that only closes is always there. */
  actions?: ReactNode;
  /** What the closing button says. */
  closeSays?: string;
}

/**
 * A question that must be answered before going on. The platform's own modal element keeps the focus inside, makes the rest
 * of the page inert, closes on Escape and gives the focus back; it needs no style element of its own, which the policy refuses.
 */
export function Dialog({ isOpen, title, onClose, children, actions, closeSays = SHARED.cancel }: Props) {
  const ref = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  useEffect(() => {
    const dialog = ref.current;
    if (isOpen && !dialog?.open) dialog?.showModal();
    if (!isOpen && dialog?.open) dialog.close();
  }, [isOpen]);
  return (
    <dialog ref={ref} className="dialog" aria-labelledby={titleId} onClose={onClose}>
      {isOpen ? (
        <>
          <h2 id={titleId} className="first">
            {title}
          </h2>
          {children}
          <p className="buttons">
            {actions}
            <button type="button" className="button" onClick={onClose}>
              {closeSays}
            </button>
          </p>
        </>
      ) : null}
    </dialog>
  );
}
