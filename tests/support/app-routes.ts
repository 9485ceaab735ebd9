import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";

const app = path.resolve(import.meta.dirname, "..", "..", "app");

export interface FoundRoute {
  /** `GET /api/…` or `PAGE /…`, as in the table. */
  key: string;
  method: string;
  address: string;
  file: string;
}

function filesUnder(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const full = path.join(folder, entry.name);
    return entry.isDirectory() ? filesUnder(full) : [full];
  });
}

/** Every page and every method of every route that the app has, read from its files. */
export function appRoutes(): FoundRoute[] {
  return filesUnder(app).flatMap((file) => {
    const name = path.basename(file);
    const isPage = /^page\.tsx?$/.test(name);
    if (!isPage && !/^route\.tsx?$/.test(name)) return [];
    const parts = path.relative(app, path.dirname(file)).split(path.sep);
    const address = `/${parts.filter((part) => part !== "" && !part.startsWith("(")).join("/")}`;
    if (isPage) return [{ key: `PAGE ${address}`, method: "PAGE", address, file }];
    const text = readFileSync(file, "utf8");
    const methods = [...text.matchAll(/^export (?:async )?(?:function|const) (GET|HEAD|POST|PUT|PATCH|DELETE)\b/gm)];
    if (methods.length === 0) throw new Error(`${file} exports no method that this can read; write it as a function.`);
    return methods.map(([, method]) => ({ key: `${method} ${address}`, method: method as string, address, file }));
  });
}

/** Files of the app that hold server actions. There are none; a first one needs rows and a walk of its own. */
export function serverActionFiles(): string[] {
  return filesUnder(app).filter(
    (file) => /\.tsx?$/.test(file) && /^\s*["']use server["']/m.test(readFileSync(file, "utf8")),
  );
}
