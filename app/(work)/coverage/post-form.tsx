"use client";

import { useRouter } from "next/navigation";
import { type FormEvent, type ReactNode, useState } from "react";
import { Trouble } from "@/app/_ui/said.tsx";
import { POST_FORM } from "@/app/_words/coverage.ts";

interface Props {
  /** Name of the form for who hears it rather than sees it. */
  name: string;
  button: string;
  /** Sends what was filled in. @returns what to say once it is stored */
  send: (form: FormData) => Promise<string>;
  children: ReactNode;
  /** Keep what was filled in after it was stored. */
  keeps?: boolean;
}

/** A form that stores something: what was filled in stays when it could not be, with the reason. */
export function PostForm({ name, button, send, children, keeps = false }: Props) {
  const router = useRouter();
  const [state, setState] = useState<{ kind: "idle" | "busy" | "done" | "failed"; says: string }>({
    kind: "idle",
    says: "",
  });
  const onSubmit = async (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const form = event.currentTarget;
    setState({ kind: "busy", says: POST_FORM.storing });
    try {
      const says = await send(new FormData(form));
      if (!keeps) form.reset();
      setState({ kind: "done", says });
      router.refresh();
    } catch (error) {
      setState({ kind: "failed", says: (error as Error).message });
    }
  };
  return (
    <form className="filters terms no-print" aria-label={name} onSubmit={onSubmit}>
      {children}
      <button type="submit" className="button main" disabled={state.kind === "busy"}>
        {button}
      </button>
      <p role="status" className="soft">
        {state.kind === "busy" || state.kind === "done" ? state.says : ""}
      </p>
      <Trouble says={state.kind === "failed" ? state.says : null} />
    </form>
  );
}

interface FieldProps {
  label: string;
  name: string;
  type?: "text" | "date" | "number" | "month" | "datetime-local";
  value?: string | undefined;
  required?: boolean;
  min?: number;
  max?: number;
  wide?: boolean;
}

export function Field({ label, name, type = "text", value, required, min, max, wide }: FieldProps) {
  return (
    <label className={wide ? "wide" : undefined}>
      {label}
      <input
        type={type}
        name={name}
        defaultValue={value}
        required={required}
        min={min}
        max={max}
        step={type === "number" ? "any" : undefined}
      />
    </label>
  );
}

export function Choice({
  label,
  name,
  options,
  value,
}: {
  label: string;
  name: string;
  options: readonly (readonly [string, string])[];
  value?: string | undefined;
}) {
  return (
    <label>
      {label}
      <select name={name} defaultValue={value}>
        {options.map(([key, words]) => (
          <option key={key} value={key}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
}

export function FileField({
  label,
  name,
  accept,
  required,
}: {
  label: string;
  name: string;
  accept: string;
  required?: boolean;
}) {
  return (
    <label className="wide">
      {label}
      <input type="file" name={name} accept={accept} required={required} />
    </label>
  );
}
