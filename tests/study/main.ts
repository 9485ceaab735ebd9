import { studyCorrelation } from "./correlation-study.ts";
import { studyDiagnosis } from "./study-diagnosis.ts";
import { studyLearning } from "./study-learning.ts";

/** Studies by name: long computations that print figures with their Monte Carlo errors. */
const STUDIES: Record<string, (args: readonly string[]) => void> = {
  correlation: studyCorrelation,
  diagnosis: studyDiagnosis,
  learning: studyLearning,
};

const [name = "", ...args] = process.argv.slice(2);
const study = STUDIES[name];
if (study) study(args);
else {
  process.stderr.write(
    `Which study? One of: ${Object.keys(STUDIES).join(", ")}. Options: --seed N --sites N, and --part P of correlation\n`,
  );
  process.exitCode = 2;
}
