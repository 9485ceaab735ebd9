// Run: npm run bench -- [correlation|loss|routes|lighthouse] [options of that bench]; correlation when none is named.
const BENCHES = ["correlation", "loss", "routes", "lighthouse"];

const [name = "", ...rest] = process.argv.slice(2);
const named = BENCHES.includes(name);
process.argv = [...process.argv.slice(0, 2), ...(named ? rest : process.argv.slice(2))];
await import(`./${named ? name : "correlation"}.ts`);

export {};
