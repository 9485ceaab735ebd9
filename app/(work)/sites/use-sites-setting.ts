"use client";

import { useMutation, useQuery, useQueryClient } from "@tanstack/react-query";
import { useCallback } from "react";
import { getJson } from "@/app/_ui/get-json.ts";
import { postJson } from "@/app/_ui/post-json.ts";
import { AWAY_LOOK_MS } from "@/app/_ui/query-client.ts";
import { useMay } from "@/app/_ui/role.tsx";
import { ServerAway } from "@/app/_ui/server-away.ts";
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
    queryFn: () => getJson<SitesSetting>("/api/pages/sites/setting"),
    staleTime: Number.POSITIVE_INFINITY,
  });
  const { mutate } = useMutation({
    mutationFn: (next: SitesSetting) => postJson("/api/pages/sites/setting", next),
    // One after the other, so that the last one stays; a server that is away gets it when it is back.
    scope: { id: "sites-setting" },
    retry: (_, error) => error instanceof ServerAway,
    retryDelay: AWAY_LOOK_MS,
    onError: () => client.invalidateQueries({ queryKey: KEY }),
  });
  const keep = useCallback(
    (next: SitesSetting) => {
      client.setQueryData(KEY, next);
      if (mayKeep) mutate(next);
    },
    [client, mayKeep, mutate],
  );
  return [data ?? USUAL, keep];
}
