// The judgement itself sits with the grounding path, which needs it to know what a reading verifies.
export {
  judgeReading,
  type ReadingContext,
  type ReadingJudgement,
  type Verdict,
} from "../grounding/reading-judgement.ts";
