import { parentPort } from "node:worker_threads";
import loadHighs from "highs";

// The solver blocks its thread while it works, which is why it has one of its own.
const highs = await loadHighs();

parentPort.on("message", ({ id, text, options }) => {
  try {
    parentPort.postMessage({ id, solution: highs.solve(text, options) });
  } catch (error) {
    parentPort.postMessage({ id, error: String(error) });
  }
});
