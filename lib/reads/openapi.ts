import { z } from "zod";
import * as documents from "./documents.ts";
import { ExposureDocument } from "./exposure-document.ts";
import { JSON_FLAG } from "./parse-query.ts";
import { PlanRunDocument } from "./plan-run.ts";

const json = (schema: z.ZodType, description: string) => ({
  description,
  content: { "application/json": { schema: z.toJSONSchema(schema, { target: "draft-2020-12", io: "output" }) } },
});
const ERRORS = {
  "400": json(
    documents.ErrorDocument,
    "The request is not of the right form, asks by a parameter that is not described here, or gives one twice; the message says what to change",
  ),
  "401": json(documents.ErrorDocument, "The bearer token is missing or wrong, has expired or was revoked"),
  "403": json(documents.ErrorDocument, "The token's scope does not cover this"),
  "503": json(
    documents.ErrorDocument,
    "Scores are being computed or the database is away; try again after Retry-After seconds",
  ),
};
const parameter = (name: string, description: string, format: string, required = false) => ({
  name,
  in: "query",
  required,
  description,
  schema: { type: "string", ...(format ? { format } : {}) },
});
/** Of an address whose document a command gives too. */
const flags = (...own: ReturnType<typeof parameter>[]) => [
  ...own,
  parameter(JSON_FLAG, "Flag of the command: taken, and changes nothing, since every document is JSON", ""),
];
const PLAN_FLAGS = flags(
  parameter("from", "First day", "date", true),
  parameter("days", "Number of days, 1 to 14", "", true),
  parameter("seed", "Same seed and effort, same plan", ""),
  parameter("effort", "Rounds of the search", ""),
);
const path = (name: string) => ({ name, in: "path", required: true, schema: { type: "string" } });
const paper = (description: string) => ({
  "200": {
    description,
    content: { "application/pdf": { schema: { type: "string", contentMediaType: "application/pdf" } } },
  },
  "404": json(documents.ErrorDocument, "No such visit"),
});

/** The OpenAPI 3.1 description of the HTTP API, made from the same schemas that its answers are typed by. */
export function openApiDocument(): Record<string, unknown> {
  return {
    openapi: "3.1.0",
    info: {
      title: "Raintrip",
      version: "1",
      description:
        "Scores, queue, weather and imports as the command line gives them. A probability never says that a site is free of hazard: treat all metal as live and let the local authority and licensed practice decide.",
    },
    servers: [{ url: "/" }],
    security: [{ bearer: [] }],
    components: {
      securitySchemes: {
        bearer: {
          type: "http",
          scheme: "bearer",
          description:
            "A token made under Access, Tokens, or by the command token. Scope read: everything but imports; scope import: imports and how they went.",
        },
      },
    },
    paths: {
      "/api/v1/score": {
        get: {
          operationId: "score",
          summary: "How likely each site has a bonding or grounding defect, and why",
          parameters: flags(
            parameter("site", "Only this site", ""),
            parameter("as-of", "Use records up to this time only", "date-time"),
          ),
          responses: { "200": json(documents.ScoreDocument, "One entry for every imported site"), ...ERRORS },
        },
      },
      "/api/v1/queue": {
        get: {
          operationId: "queue",
          summary: "Visits in the order that matters, and the sites on watch",
          parameters: flags(),
          responses: { "200": json(documents.QueueDocument, "The queue"), ...ERRORS },
        },
      },
      "/api/v1/plan": {
        get: {
          operationId: "plan",
          summary: "Which crew goes where on which day, and who is not served and why",
          parameters: PLAN_FLAGS,
          responses: { "200": json(documents.PlanDocument, "The plan"), ...ERRORS },
        },
        post: {
          operationId: "startPlanRun",
          summary: "Ask the worker for a plan; its run tells how far it is and the best so far",
          parameters: PLAN_FLAGS,
          responses: { "202": json(z.object({ run_id: z.string() }), "The run was asked for"), ...ERRORS },
        },
      },
      "/api/v1/plan-runs/{runId}": {
        get: {
          operationId: "planRun",
          summary: "How far a plan run is, with the best plan so far",
          parameters: [path("runId")],
          responses: {
            "200": json(PlanRunDocument, "The run"),
            "404": json(documents.ErrorDocument, "No such run"),
            ...ERRORS,
          },
        },
        delete: {
          operationId: "stopPlanRun",
          summary: "Stop a plan run; the best plan so far is kept",
          parameters: [path("runId")],
          responses: {
            "200": json(z.object({ stopped: z.boolean() }), "Whether it ran"),
            "404": json(documents.ErrorDocument, "No such run"),
            ...ERRORS,
          },
        },
      },
      "/api/v1/exposure": {
        get: {
          operationId: "exposure",
          summary: "What each book of sites stands to lose in the coming year, net of what contracts may pay",
          parameters: flags(parameter("book", "Only this book, with its sites", "")),
          responses: {
            "200": json(ExposureDocument, "Expectation, tail, parts of the sites; an estimate, the contracts govern"),
            "404": json(documents.ErrorDocument, "No such book"),
            ...ERRORS,
          },
        },
      },
      "/api/v1/weather/{stationId}": {
        get: {
          operationId: "weather",
          summary: "Hourly weather of a station as stored",
          parameters: [
            path("stationId"),
            ...flags(
              parameter("from", "Hours that end after this time", "date-time", true),
              parameter("to", "Hours that end at or before this time", "date-time", true),
            ),
          ],
          responses: {
            "200": json(documents.WeatherDocument, "The hours"),
            "404": json(documents.ErrorDocument, "No such station"),
            ...ERRORS,
          },
        },
      },
      "/api/v1/visits/{visitId}/checklist.pdf": {
        get: {
          operationId: "visitChecklist",
          summary: "The checklist of a queued visit, drawn to be filled in by hand: ten checks a page",
          parameters: [path("visitId")],
          responses: { ...paper("The checklist"), ...ERRORS },
        },
      },
      "/api/v1/visits/{visitId}/report.pdf": {
        get: {
          operationId: "visitReport",
          summary: "The report of a visit: outcomes, readings with their instruments, signatures and photos",
          parameters: [path("visitId")],
          responses: { ...paper("The report as written so far"), ...ERRORS },
        },
      },
      "/api/v1/imports": {
        post: {
          operationId: "import",
          summary: "Upload a drop: one or more files, read by the worker",
          parameters: flags(
            parameter("file", "Name of the file when the body is a bare CSV", ""),
            parameter("format", "A published weather format, when the content does not tell", ""),
            parameter("station", "Station that the file belongs to, when it does not say", ""),
            parameter("portfolio", "Portfolio for sites without one", ""),
            parameter(
              "ask",
              "1: ask how a file is to be read that nothing tells, in place of setting its rows aside",
              "",
            ),
          ),
          requestBody: {
            required: true,
            content: {
              "multipart/form-data": {
                schema: {
                  type: "object",
                  properties: { files: { type: "array", items: { type: "string", contentMediaType: "text/csv" } } },
                },
              },
              "text/csv": { schema: { type: "string" } },
              "application/gzip": { schema: { type: "string", contentMediaType: "application/gzip" } },
            },
          },
          responses: { "202": json(documents.ImportStatusDocument, "Taken; poll the import"), ...ERRORS },
        },
      },
      "/api/v1/imports/{importId}": {
        get: {
          operationId: "importStatus",
          summary: "Where an import stands and what it counted",
          parameters: [path("importId")],
          responses: {
            "200": json(documents.ImportStatusDocument, "The import"),
            "404": json(documents.ErrorDocument, "No such import"),
            ...ERRORS,
          },
        },
      },
      "/api/v1/imports/{importId}/set-aside": {
        get: {
          operationId: "setAsideRows",
          summary: "Rows set aside, with file, line, column, value and reason; correct them and import the file again",
          parameters: [path("importId")],
          responses: {
            "200": { description: "CSV", content: { "text/csv": { schema: { type: "string" } } } },
            ...ERRORS,
          },
        },
      },
    },
  };
}
