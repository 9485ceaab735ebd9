// Run: npm run bench -- [correlation|evidence|fleet|import-memory|lighthouse|loss|routes] [options of that bench]; fleet when none is named.
const BENCHES = ["correlation", "evidence", "fleet", "import-memory", "lighthouse", "loss", "routes"];

const [name = "", ...rest] = process.argv.slice(2);
const named = BENCHES.includes(name);
if (!named && name !== "" && !name.startsWith("-")) {
  console.error(`No such bench: ${name}; there are ${BENCHES.join(", ")}.`);
  process.exit(2);
}
process.argv = [...process.argv.slice(0, 2), ...(named ? rest : process.argv.slice(2))];
await import(`./${named ? name : "fleet"}.ts`);

export {};
