/** What converts amounts into the account's currency. */
export interface AccountMoney {
  accountCurrency: string;
  /** Account units for one unit of the currency. The account's own is 1 without being listed. */
  rates: ReadonlyMap<string, number>;
}

/**
 * Account units for one unit of a currency.
 * @param currency null (not recorded): taken to be the account's
 * @returns null when the account has no usable rate for it
 */
export function accountRate(currency: string | null, money: AccountMoney): number | null {
  if (currency === null || currency === money.accountCurrency) return 1;
  const rate = money.rates.get(currency);
  return rate !== undefined && Number.isFinite(rate) && rate > 0 ? rate : null;
}
