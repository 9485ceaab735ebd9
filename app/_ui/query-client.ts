import { isServer, QueryClient } from "@tanstack/react-query";
import { ServerAway } from "./server-away.ts";

/** How often what the server could not answer is asked again. */
export const AWAY_LOOK_MS = 2_000;

const make = () =>
  new QueryClient({
    defaultOptions: {
      queries: {
        staleTime: 5_000,
        retry: 1,
        refetchInterval: (query) => (query.state.error instanceof ServerAway ? AWAY_LOOK_MS : false),
      },
    },
  });
let browserClient: QueryClient | undefined;

/** A new client for each request on the server, one for the life of the tab in the browser. */
export function queryClient(): QueryClient {
  if (isServer) return make();
  browserClient ??= make();
  return browserClient;
}
