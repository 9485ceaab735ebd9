import { TextField } from "@/app/_ui/field.tsx";

interface Props {
  label: string;
  value: string;
  onText: (text: string) => void;
}

/** The address that somebody signs in by. `isFixed`: it is shown and cannot be changed. */
export function EmailField({ isFixed = false, ...field }: Props & { isFixed?: boolean }) {
  return <TextField {...field} type="email" autoComplete="username" required readOnly={isFixed} />;
}

/** A password that is there already. */
export function PasswordField(field: Props) {
  return <TextField {...field} type="password" autoComplete="current-password" required />;
}

/** A password that is being chosen, of the length that is taken. */
export function NewPasswordField(field: Props) {
  return <TextField {...field} type="password" autoComplete="new-password" required minLength={12} maxLength={128} />;
}
