import { isServer, QueryClient } from "@tanstack/react-query";

const make = () => new QueryClient({ defaultOptions: { queries: { staleTime: 5_000, retry: 1 } } });
let browserClient: QueryClient | undefined;

/** A new client for each request on the server, one for the life of the tab in the browser. */
export function queryClient(): QueryClient {
  if (isServer) return make();
  browserClient ??= make();
  return browserClient;
}
