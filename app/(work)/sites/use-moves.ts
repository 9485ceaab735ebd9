"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import { useEffect, useRef } from "react";
import { getJson } from "@/app/_ui/get-json.ts";

/** A look costs the server one row. */
const LOOK_MS = 1_000;

/**
 * Ask for the rows of the list anew as soon as a score or rank moved; a page that nobody looks at does not ask.
 * @param shown the number that came with the rows that are shown
 */
export function useMoves(shown: number | undefined): void {
  const client = useQueryClient();
  const { data } = useQuery({
    queryKey: ["sites-moves"],
    queryFn: ({ signal }) => getJson<{ moves: number }>("/api/pages/sites/moves", signal),
    ...{ refetchInterval: LOOK_MS, retry: false, staleTime: 0 },
  });
  const asked = useRef(0);
  useEffect(() => {
    if (data === undefined || shown === undefined || data.moves <= shown || data.moves <= asked.current) return;
    asked.current = data.moves;
    client.invalidateQueries({ queryKey: ["sites"] });
  }, [data, shown, client]);
}
