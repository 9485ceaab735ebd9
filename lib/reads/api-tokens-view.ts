/** What the page of tokens shows. Times are ISO 8601. */
export interface TokensView {
  tokens: {
    tokenId: string;
    name: string;
    scopes: string[];
    /** Books that it is held to; null: none. */
    portfolios: string[] | null;
    madeBy: string;
    madeAt: string;
    expiresAt: string;
    revokedAt: string | null;
    works: boolean;
  }[];
  portfolios: string[];
}
