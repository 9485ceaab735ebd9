export interface StudyOptions {
  seed: string;
  /** Sites a cell; null: the size that the part is meant to have. */
  sites: number | null;
  print: (line: string) => void;
}
