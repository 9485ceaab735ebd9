import type { Metadata } from "next";
import { GLOSSARY, GLOSSARY_PAGE } from "@/app/_words/glossary.ts";
import { currentActor } from "@/lib/reads/actor.ts";

export const metadata: Metadata = { title: GLOSSARY_PAGE.title };
export const dynamic = "force-dynamic";

export default async function GlossaryPage() {
  await currentActor();
  return (
    <>
      <h1>{GLOSSARY_PAGE.title}</h1>
      <p className="soft">{GLOSSARY_PAGE.says}</p>
      <dl className="glossary">
        {GLOSSARY.map(({ id, name, says }) => (
          <div key={id} id={id}>
            <dt>{name}</dt>
            <dd>{says}</dd>
          </div>
        ))}
      </dl>
    </>
  );
}
