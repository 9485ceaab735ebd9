"use client";

import { useMutation } from "@tanstack/react-query";
import { useRouter } from "next/navigation";
import type { FormEvent } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { CURRENCIES } from "@/app/_words/exposure.ts";
import type { ExposureView } from "@/lib/reads/exposure-view.ts";

/** Rates into the account's currency; money without a rate is named and never guessed. */
export function Currencies({ currencies, own }: { currencies: ExposureView["currencies"]; own: string }) {
  const router = useRouter();
  const save = useMutation({
    mutationFn: (body: { currency: string; rate: number | null }) => postJson("/api/pages/account-rates", body),
    onSuccess: () => router.refresh(),
  });
  const onSubmit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = new FormData(event.currentTarget);
    save.mutate({ currency: String(form.get("currency")).trim().toUpperCase(), rate: Number(form.get("rate")) });
  };
  const lacking = currencies.filter((c) => c.rate === null);
  return (
    <>
      <h2>{CURRENCIES.currencies}</h2>
      <p className="soft">
        {CURRENCIES.everythingIsShownIn(own, currencies.length === 0 ? CURRENCIES.noSiteOrContract : "")}
      </p>
      {lacking.length > 0 ? (
        <p className="note gap" role="status">
          {CURRENCIES.noRateIntoThese(
            own,
            lacking.map((c) => CURRENCIES.sitesContracts(c.currency, c.sites, c.contracts)).join(", "),
          )}
        </p>
      ) : null}
      <ul>
        {currencies
          .filter((c) => c.rate !== null)
          .map((c) => (
            <li key={c.currency}>
              1 {c.currency} = {c.rate} {own}{" "}
              <button
                type="button"
                className="button"
                disabled={save.isPending}
                onClick={() => save.mutate({ currency: c.currency, rate: null })}
              >
                {CURRENCIES.takeAway}
                <span className="visually-hidden"> {CURRENCIES.theRateOf(c.currency)}</span>
              </button>
            </li>
          ))}
      </ul>
      <form className="filters" onSubmit={onSubmit}>
        <label>
          {CURRENCIES.currency}
          <input
            type="text"
            name="currency"
            required
            pattern="[A-Za-z]{3}"
            title={CURRENCIES.threeLetters}
            size={5}
            defaultValue={lacking[0]?.currency ?? ""}
          />
        </label>
        <label>
          {CURRENCIES.forOneUnitOf(own)}
          <input type="number" name="rate" required min={0} step="any" />
        </label>
        <button type="submit" className="button" disabled={save.isPending}>
          {CURRENCIES.setTheRate}
        </button>
      </form>
      <Trouble says={save.error?.message} />
    </>
  );
}
