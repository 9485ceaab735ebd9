"use client";

import { useQuery, useQueryClient } from "@tanstack/react-query";
import { useCallback } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { useMay } from "@/app/_ui/role.tsx";
import type { SitesSetting } from "@/lib/reads/ranked-sites-query.ts";
import { USUAL_COLUMNS } from "@/lib/reads/ranked-sites-view.ts";

const USUAL: SitesSetting = { columns: [...USUAL_COLUMNS], filters: [] };
const KEY = ["sites-setting"];

/** How the person keeps the list: shown at once, kept in the background; who may not keep it has it for this visit. */
export function useSitesSetting(): [SitesSetting, (next: SitesSetting) => void] {
  const client = useQueryClient();
  const mayKeep = useMay("fleet.read");
  const { data } = useQuery({
    queryKey: KEY,
    queryFn: async () => {
      const reply = await fetch("/api/pages/sites/setting");
      return reply.ok ? ((await reply.json()) as SitesSetting) : USUAL;
    },
    staleTime: Number.POSITIVE_INFINITY,
  });
  const keep = useCallback(
    (next: SitesSetting) => {
      client.setQueryData(KEY, next);
      if (mayKeep) postJson("/api/pages/sites/setting", next).catch(() => client.invalidateQueries({ queryKey: KEY }));
    },
    [client, mayKeep],
  );
  return [data ?? USUAL, keep];
}
