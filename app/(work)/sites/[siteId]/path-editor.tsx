"use client";

import { useRouter } from "next/navigation";
import { useState } from "react";
import { postJson } from "@/app/_ui/post-json.ts";
import { Trouble } from "@/app/_ui/said.tsx";
import { PATH_EDITOR } from "@/app/_words/site-path.ts";
import type { EditablePart, PathEditView } from "@/lib/reads/path-edit-view.ts";
import { fieldsOf } from "./path-edit-fields.ts";
import { PathEditForm } from "./path-edit-form.tsx";
import { PathHistory } from "./path-history.tsx";

const NEW = { piece: PATH_EDITOR.addAPieceOf, bond: PATH_EDITOR.addAFurtherBond } as const;
const keyOf = (what: string, id: string) => JSON.stringify([what, id]);

/** What is recorded of the path, to be changed by hand; every change can be set back. */
export function PathEditor({ view }: { view: PathEditView }) {
  const [chosen, setChosen] = useState("");
  const part = partOf(view, chosen);
  return (
    <details className="path-editor no-print">
      <summary>{PATH_EDITOR.changeWhatIsRecorded}</summary>
      <p className="soft">{PATH_EDITOR.forWhatSomebodyKnows}</p>
      <label>
        {PATH_EDITOR.what}
        <select name="part" value={chosen} onChange={(event) => setChosen(event.target.value)}>
          <option value="">{PATH_EDITOR.choose}</option>
          {view.parts.map((each) => (
            <option key={keyOf(each.what, each.id)} value={keyOf(each.what, each.id)}>
              {each.label}
            </option>
          ))}
          <option value={keyOf("piece", "")}>{NEW.piece}</option>
          <option value={keyOf("bond", "")}>{NEW.bond}</option>
        </select>
      </label>
      {part ? <PartForm key={chosen} view={view} part={part} onGone={() => setChosen("")} /> : null}
      <PathHistory view={view} />
    </details>
  );
}

function partOf(view: PathEditView, chosen: string): EditablePart | null {
  if (chosen === "") return null;
  const [what, id] = JSON.parse(chosen) as [EditablePart["what"], string];
  if (id === "" && (what === "piece" || what === "bond")) return { what, id, label: NEW[what], fields: {} };
  return view.parts.find((part) => part.what === what && part.id === id) ?? null;
}

interface PartProps {
  view: PathEditView;
  part: EditablePart;
  onGone: () => void;
}

function PartForm({ view, part, onGone }: PartProps) {
  const router = useRouter();
  const isNew = part.id === "";
  const [id, setId] = useState("");
  const [typed, setTyped] = useState<Record<string, string>>({});
  const [reason, setReason] = useState("");
  const [said, setSaid] = useState<{ ok: boolean; text: string } | null>(null);
  const [sending, setSending] = useState(false);
  const values = { ...Object.fromEntries(Object.entries(part.fields).map(([k, v]) => [k, v ?? ""])), ...typed };
  const send = async (remove: boolean) => {
    setSending(true);
    setSaid(null);
    const names = Object.keys(typed).filter((name) => isNew || typed[name] !== (part.fields[name] ?? ""));
    const pick = (of: Record<string, string | null>) =>
      Object.fromEntries(names.map((name) => [name, of[name] || null]));
    const body = {
      ...{ what: part.what, id: isNew ? id : part.id, reason },
      set: remove ? null : pick(typed),
      was: isNew ? null : remove ? part.fields : pick(part.fields),
    };
    try {
      const { changed } = await postJson<{ changed: string[] }>(
        `/api/pages/sites/${encodeURIComponent(view.siteId)}/path`,
        body,
      );
      setSaid({
        ok: true,
        text: changed.length > 0 ? SAVED : PATH_EDITOR.thatIsWhatIs,
      });
      setTyped({});
      setReason("");
      router.refresh();
      if (remove || isNew) onGone();
    } catch (error) {
      setSaid({ ok: false, text: (error as Error).message });
    } finally {
      setSending(false);
    }
  };
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        void send(false);
      }}
    >
      {isNew ? (
        <label>
          {PATH_EDITOR.shortNameNotUsed}
          <input name="id" value={id} onChange={(event) => setId(event.target.value)} autoComplete="off" />
        </label>
      ) : null}
      <PathEditForm
        fields={fieldsOf(part.what, part.id, view)}
        values={values}
        onChange={(name, value) => setTyped({ ...typed, [name]: value })}
      />
      <label>
        {PATH_EDITOR.whyAndWhoSaw}
        <input name="reason" value={reason} onChange={(event) => setReason(event.target.value)} autoComplete="off" />
      </label>
      <div className="buttons">
        <button type="submit" className="button main" disabled={sending}>
          {PATH_EDITOR.save}
        </button>
        {!isNew && (part.what === "piece" || part.what === "bond") ? (
          <button type="button" className="button" disabled={sending} onClick={() => send(true)}>
            {PATH_EDITOR.takeItAway}
          </button>
        ) : null}
      </div>
      <p role="status">{said?.ok ? said.text : ""}</p>
      <Trouble says={said && !said.ok ? said.text : null} />
    </form>
  );
}

const SAVED = PATH_EDITOR.savedWithYourName;
