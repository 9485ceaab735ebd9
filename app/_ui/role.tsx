"use client";

import { createContext, type ReactNode, useContext } from "react";
import { may, type Operation } from "@/lib/core/permissions.ts";

const RoleContext = createContext("");

export function RoleProvider({ role, children }: { role: string; children: ReactNode }) {
  return <RoleContext value={role}>{children}</RoleContext>;
}

/** Whether who looks at the page may do something: for leaving out what would only be refused. The server decides. */
export function useMay(operation: Operation): boolean {
  return may({ role: useContext(RoleContext) }, operation);
}

/** Shows its children to those who may. */
export function IfMay({ operation, children }: { operation: Operation; children: ReactNode }) {
  return useMay(operation) ? children : null;
}
