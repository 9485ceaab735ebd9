import type postgres from "postgres";

/** Quoted names of a table's columns in their order, but for those that the server makes of the others, which take no value. */
export async function storedColumns(sql: postgres.ISql, table: string): Promise<string[]> {
  const rows = await sql`SELECT attname AS name FROM pg_attribute WHERE attrelid = ${table}::regclass
    AND attnum > 0 AND NOT attisdropped AND attgenerated = '' ORDER BY attnum`;
  return rows.map((row) => `"${row.name}"`);
}
