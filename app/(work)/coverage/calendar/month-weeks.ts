const DAY_MS = 86_400_000;

/** Weeks of a month from Monday to Sunday; null: a day of another month. */
export function monthWeeks(month: string): (string | null)[][] {
  const first = Date.parse(`${month}-01T00:00:00Z`);
  const lead = (new Date(first).getUTCDay() + 6) % 7;
  const days = new Date(Date.UTC(Number(month.slice(0, 4)), Number(month.slice(5)), 0)).getUTCDate();
  return Array.from({ length: Math.ceil((lead + days) / 7) }, (_, week) =>
    Array.from({ length: 7 }, (_, i) => {
      const day = week * 7 + i - lead;
      return day < 0 || day >= days ? null : new Date(first + day * DAY_MS).toISOString().slice(0, 10);
    }),
  );
}

/** A month so many months later. */
export function monthLater(month: string, by: number): string {
  return new Date(Date.UTC(Number(month.slice(0, 4)), Number(month.slice(5)) - 1 + by, 1)).toISOString().slice(0, 7);
}
