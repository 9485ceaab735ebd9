"use client";

import { QueryClientProvider } from "@tanstack/react-query";
import type { ReactNode } from "react";
import { useKeptTitle } from "./kept-title.ts";
import { queryClient } from "./query-client.ts";
import { ToastProvider } from "./toast.tsx";

export function Providers({ children }: { children: ReactNode }) {
  useKeptTitle();
  return (
    <QueryClientProvider client={queryClient()}>
      <ToastProvider>{children}</ToastProvider>
    </QueryClientProvider>
  );
}
