"use client";

import { startTransition, useEffect, useState } from "react";

/** False while the server draws and until the browser took over; then true: what nobody sees at first need not come as HTML. */
export function useDrawn(): boolean {
  const [isDrawn, setDrawn] = useState(false);
  useEffect(() => startTransition(() => setDrawn(true)), []);
  return isDrawn;
}
