"use client";

import { useId } from "react";
import { words } from "@/app/_ui/format.ts";
import { PATH_EDIT_FORM } from "@/app/_words/site-path.ts";
import { CONDUCTOR_SIZES } from "@/lib/grounding/conductor-size.ts";
import type { EditField } from "./path-edit-fields.ts";

interface Props {
  fields: EditField[];
  values: Record<string, string>;
  onChange: (name: string, value: string) => void;
}

/** The fields of one part. What is typed stays whatever the server says of it. */
export function PathEditForm({ fields, values, onChange }: Props) {
  const sizes = useId();
  return (
    <div className="path-edit-fields">
      <datalist id={sizes}>
        {CONDUCTOR_SIZES.map(({ size }) => (
          <option key={size} value={size} />
        ))}
      </datalist>
      {fields.map(({ name, label, ask }) => {
        const value = values[name] ?? "";
        const set = (event: { target: { value: string } }) => onChange(name, event.target.value);
        if (ask.kind === "choice" || ask.kind === "named") {
          const options =
            ask.kind === "named"
              ? ask.values
              : ask.values.map((id) => ({ id, label: id === "none" ? "none" : words(id) }));
          const listed = value === "" || options.some((option) => option.id === value);
          return (
            <label key={name}>
              {label}
              <select name={name} value={value} onChange={set}>
                <option value="">{PATH_EDIT_FORM.notRecorded}</option>
                {listed ? null : <option value={value}>{value}</option>}
                {options.map((option) => (
                  <option key={option.id} value={option.id}>
                    {option.label}
                  </option>
                ))}
              </select>
            </label>
          );
        }
        const unit = ask.kind === "number" && ask.unit ? `, ${ask.unit}` : "";
        return (
          <label key={name}>
            {label}
            {unit}
            <input
              name={name}
              value={value}
              onChange={set}
              placeholder={
                ask.kind === "text" ? ask.hint : ask.kind === "size" ? PATH_EDIT_FORM.suchAsOr250kcmil : undefined
              }
              inputMode={ask.kind === "number" ? "decimal" : "text"}
              list={ask.kind === "size" ? sizes : undefined}
              autoComplete="off"
            />
          </label>
        );
      })}
    </div>
  );
}
