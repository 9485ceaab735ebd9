import { type ComponentProps, type ReactNode, useId } from "react";

interface FieldProps {
  label: ReactNode;
  /** What to enter, below the field; read out with it. */
  hint?: ReactNode;
}

/** A row of a form: its name, what is entered, and a hint. */
export function Field({ label, children, isWide }: FieldProps & { children: ReactNode; isWide?: boolean }) {
  return (
    // biome-ignore lint/a11y/noLabelWithoutControl: the control is the child
    <label className={isWide ? "field wide-field" : "field"}>
      {label}
      {children}
    </label>
  );
}

type TextProps = FieldProps & Omit<ComponentProps<"input">, "onChange"> & { onText?: (text: string) => void };

/** A field of text. `onText` gets the text as it is typed. */
export function TextField({ label, hint, onText, type = "text", ...input }: TextProps) {
  const hintId = useId();
  return (
    <>
      <Field label={label}>
        <input
          {...input}
          type={type}
          {...(hint ? { "aria-describedby": hintId } : {})}
          {...(onText ? { onChange: (e) => onText(e.currentTarget.value) } : {})}
        />
      </Field>
      {hint ? (
        <p id={hintId} className="hint">
          {hint}
        </p>
      ) : null}
    </>
  );
}

/** One below the other, for a form that is filled in from top to bottom. `onSend` replaces the browser's own sending. */
export function Stacked({ onSend, children }: { onSend: () => void; children: ReactNode }) {
  return (
    <form
      className="stacked"
      onSubmit={(event) => {
        event.preventDefault();
        onSend();
      }}
    >
      {children}
    </form>
  );
}

/** A few ways of which one holds, as buttons side by side; the one that holds is marked by a sign and not by colour alone. */
export function OneOf<Value extends string>(props: {
  label: string;
  value: Value;
  options: readonly { value: Value; says: ReactNode }[];
  onChoose: (value: Value) => void;
  isBusy?: boolean;
}) {
  return (
    <fieldset className="plain">
      <legend>{props.label}</legend>
      <div className="buttons">
        {props.options.map(({ value, says }) => (
          <button
            key={value}
            type="button"
            className="button"
            aria-pressed={props.value === value}
            disabled={props.isBusy}
            onClick={() => props.onChoose(value)}
          >
            {props.value === value ? "✓ " : ""}
            {says}
          </button>
        ))}
      </div>
    </fieldset>
  );
}
