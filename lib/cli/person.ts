import { AppError } from "../core/app-error.ts";
import { readyDatabase } from "../jobs/ready.ts";
import { LOCAL_ACTOR } from "../store/actor.ts";
import { type HandedLink, invitePerson, linkPerson, PersonBody, personNamed } from "../writes/people.ts";
import { readArguments } from "./read-arguments.ts";

/** `person NAME --role ROLE`: prints the link by which the person joins. */
export async function personCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: {
      role: { type: "string" },
      portfolio: { type: "string", multiple: true },
      crew: { type: "string" },
      email: { type: "string" },
      json: { type: "boolean" },
    },
  });
  const [name, ...more] = positionals;
  if (!name || more.length > 0)
    throw new AppError("wrong_use", { message: "person needs one name: person NAME --role ROLE" });
  const { role, portfolio: portfolios = [], crew: crewId = null, email = null } = values;
  const body = PersonBody.safeParse({ name, role, portfolios, crewId, email });
  if (!body.success) {
    const issue = body.error.issues[0];
    throw new AppError("wrong_use", { message: `--${String(issue?.path[0])}: ${issue?.message}` });
  }
  await readyDatabase();
  return hand(await invitePerson(LOCAL_ACTOR, body.data), values.json);
}

/** `link PERSON`: for somebody who lost their password, or their first link. */
export async function linkCommand(args: string[]): Promise<number> {
  const { values, positionals } = readArguments({
    args,
    allowPositionals: true,
    options: { json: { type: "boolean" } },
  });
  const [who, ...more] = positionals;
  if (!who || more.length > 0)
    throw new AppError("wrong_use", { message: "link needs one person, by id or e-mail address: link PERSON" });
  await readyDatabase();
  return hand(await linkPerson(LOCAL_ACTOR, await personNamed(LOCAL_ACTOR, who)), values.json);
}

function hand({ personId, url, hours }: HandedLink, json: boolean | undefined): number {
  if (json) process.stdout.write(`${JSON.stringify({ person_id: personId, url, hours })}\n`);
  else {
    process.stdout.write(`${url}\n`);
    process.stderr.write(`raintrip: for ${personId}, once, within ${hours} h. Whoever has the link can use it.\n`);
  }
  return 0;
}
