/** What a shared link shows: the summary of a site's evidence file, word for word, and whom it was shared with. */
export interface SharedSiteView {
  madeFor: string;
  sharedBy: string;
  expiresAt: string;
  title: string;
  subtitle: string;
  facts: [label: string, value: string][];
  sections: {
    heading: string;
    paragraphs: string[];
    table?: { columns: { head: string; right?: boolean }[]; rows: string[][] };
    after?: string[];
  }[];
}
