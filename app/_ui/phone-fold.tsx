"use client";

import { type ReactNode, useEffect, useId, useRef, useState } from "react";
import { flushSync } from "react-dom";

interface Props {
  title: string;
  level?: 2 | 3;
  children: ReactNode;
}

/**
 * A part under a heading that a phone shows when asked. On a desk and in print the heading is one like others and the part
 * stands open. An address that leads into it opens it.
 */
export function PhoneFold({ title, level = 2, children }: Props) {
  const [isOpen, setOpen] = useState(false);
  const part = useRef<HTMLDivElement>(null);
  const id = useId();
  useEffect(() => {
    const follow = () => {
      const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
      if (target && part.current?.contains(target)) setOpen(true);
    };
    follow();
    // Charts in it need their room before the print is taken.
    const openAll = () => flushSync(() => setOpen(true));
    addEventListener("hashchange", follow);
    addEventListener("beforeprint", openAll);
    return () => {
      removeEventListener("hashchange", follow);
      removeEventListener("beforeprint", openAll);
    };
  }, []);
  const Heading = level === 2 ? "h2" : "h3";
  return (
    <>
      <Heading className="phone-fold">
        <span className="not-phone">{title}</span>
        <button
          type="button"
          className="only-phone"
          aria-expanded={isOpen}
          aria-controls={id}
          onClick={() => setOpen((now) => !now)}
        >
          {title}
        </button>
      </Heading>
      <div id={id} ref={part} className="phone-folded" data-open={isOpen}>
        {children}
      </div>
    </>
  );
}
