interface Props {
  label: string;
  value: string;
  onPick: (value: string) => void;
  /** Value and name of each. */
  children: string[][];
}

export function Choice({ label, value, onPick, children }: Props) {
  return (
    <label>
      {label}
      <select value={value} onChange={(event) => onPick(event.target.value)}>
        {children.map(([id, name]) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}
