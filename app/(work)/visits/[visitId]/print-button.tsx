"use client";

export function PrintButton() {
  return (
    <button type="button" className="button main no-print" onClick={() => window.print()}>
      Print the checklist
    </button>
  );
}
