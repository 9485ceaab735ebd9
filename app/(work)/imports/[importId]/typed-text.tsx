"use client";

import { useEffect, useState } from "react";

/** Text that counts when its field is left or Enter is pressed, so that half a word is not asked about. */
export function TypedText({
  id,
  value,
  placeholder,
  onSaid,
}: {
  id: string;
  value: string;
  placeholder: string;
  onSaid: (text: string) => void;
}) {
  const [typed, setTyped] = useState(value);
  useEffect(() => setTyped(value), [value]);
  const said = () => typed.trim() !== value && onSaid(typed.trim());
  return (
    <input
      id={id}
      type="text"
      value={typed}
      placeholder={placeholder}
      onChange={(event) => setTyped(event.target.value)}
      onBlur={said}
      onKeyDown={(event) => event.key === "Enter" && said()}
    />
  );
}
