import { parentPort } from "node:worker_threads";
import loadHighs from "highs";

// The solver blocks its thread while it works, which is why it has one of its own.
const highs = await loadHighs();
const { callbackType, modelStatus, objectiveSense, variableType } = highs.constants;
const models = new Map();

/** Crew-days first, then stops: each at most once, one that must be served exactly once. */
function opened({ dayCount, stopCount, must }) {
  const rows = dayCount + stopCount;
  const lower = served(rows, dayCount, must);
  return {
    rows,
    dayCount,
    lower,
    upper: new Float64Array(rows).fill(1),
    values: [],
    starts: [0],
    indices: [],
    lp: null,
    given: 0,
  };
}

function served(rows, dayCount, must) {
  const lower = new Float64Array(rows).fill(-highs.infinity);
  for (const stop of must) lower[dayCount + stop] = 1;
  return lower;
}

const ones = (length) => new Float64Array(length).fill(1);

function matrix(model, columns) {
  const starts = [0];
  const indices = [];
  for (const at of columns) {
    for (let k = model.starts[at]; k < model.starts[at + 1]; k++) indices.push(model.indices[k]);
    starts.push(indices.length);
  }
  return {
    format: "csc",
    numRows: model.rows,
    numCols: columns.length,
    starts: Int32Array.from(starts),
    indices: Int32Array.from(indices),
    values: ones(indices.length),
  };
}

function passed(model, columns, whole, lower = model.lower) {
  const data = {
    numCols: columns.length,
    numRows: model.rows,
    sense: objectiveSense.maximize,
    offset: 0,
    colCost: Float64Array.from(columns, (at) => model.values[at]),
    colLower: new Float64Array(columns.length),
    colUpper: whole ? ones(columns.length) : new Float64Array(columns.length).fill(highs.infinity),
    rowLower: lower,
    rowUpper: model.upper,
    matrix: matrix(model, columns),
    ...(whole ? { integrality: new Int32Array(columns.length).fill(variableType.integer) } : {}),
  };
  const made = highs.createModel(data);
  made.options.set({ output_flag: false });
  return made;
}

const range = (from, to) => Array.from({ length: to - from }, (_, k) => from + k);

const handlers = {
  open: ({ model, problem }) => {
    models.set(model, opened(problem));
    return null;
  },
  add: ({ model, columns }) => {
    const held = models.get(model);
    for (const { value, day, stops } of columns) {
      held.values.push(value);
      held.indices.push(...[day, ...stops.map((stop) => held.dayCount + stop)].sort((a, b) => a - b));
      held.starts.push(held.indices.length);
    }
    return null;
  },
  relax: ({ model }) => {
    const held = models.get(model);
    const count = held.values.length;
    if (!held.lp) {
      held.lp = passed(held, range(0, count), false);
      held.lp.options.set({ solver: "simplex" });
    } else if (count > held.given) {
      const fresh = range(held.given, count);
      held.lp.addCols({
        cost: Float64Array.from(fresh, (at) => held.values[at]),
        lower: new Float64Array(fresh.length),
        upper: new Float64Array(fresh.length).fill(highs.infinity),
        matrix: matrix(held, fresh),
      });
      // Columns come in, so the last basis stays feasible: go on from it by the primal simplex, without presolve.
      held.lp.options.set({ presolve: "off", simplex_strategy: 4 });
    }
    held.given = count;
    held.lp.run();
    if (held.lp.getModelStatus() !== modelStatus.optimal) return null;
    const { rowDual } = held.lp.getSolution();
    const duals = Array.from(rowDual);
    return {
      value: held.lp.getObjectiveValue(),
      days: duals.slice(0, held.dayCount),
      stops: duals.slice(held.dayCount),
    };
  },
  choose: ({ model, nodes, gap, among, must, start, stop }) => {
    const held = models.get(model);
    const flag = new Int32Array(stop);
    const mip = passed(held, among, true, must ? served(held.rows, held.dayCount, must) : held.lower);
    try {
      mip.options.set({ mip_max_nodes: nodes, mip_rel_gap: gap });
      const chosen = new Set(start);
      if (start.length > 0) mip.setSolution({ colValue: Float64Array.from(among, (at) => (chosen.has(at) ? 1 : 0)) });
      mip.run({
        [callbackType.mipInterrupt]: (event) => {
          if (Atomics.load(flag, 0) === 1) event.interrupt();
        },
      });
      const { colValue } = mip.getSolution();
      return among.filter((_, k) => colValue[k] > 0.5);
    } finally {
      mip.dispose();
    }
  },
  close: ({ model }) => {
    models.get(model)?.lp?.dispose();
    models.delete(model);
    return null;
  },
};

parentPort.on("message", ({ id, task, ...given }) => {
  try {
    parentPort.postMessage({ id, answer: handlers[task](given) });
  } catch (error) {
    parentPort.postMessage({ id, answer: null, error: String(error) });
  }
});
