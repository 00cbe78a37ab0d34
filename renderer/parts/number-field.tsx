import { useState } from 'react';

/** A number that is taken over when it is a sensible one; an emptied field goes back to what is known otherwise. */
export function NumberField({ value, step, max, onChange, onWrong, describedBy }: { value: number | null; step: number; max?: number; onChange: (value: number | null) => void; /** Told what a number must be, in words, while the one typed is none to take; null once that is over. */ onWrong?: (words: string | null) => void; describedBy?: string }) {
  const [typed, setTyped] = useState<string | null>(null);
  /** null: emptied; NaN: no sensible number. */
  const read = (text: string): number | null => {
    if (text.trim() === '') return null;
    const number = Number(text.replace(',', '.'));
    return Number.isFinite(number) && number > 0 && number <= (max ?? Infinity) ? number : NaN;
  };
  const take = (text: string): void => {
    setTyped(text);
    const number = read(text);
    if (!Number.isNaN(number)) onChange(number);
    onWrong?.(!Number.isNaN(number) ? null : max !== undefined && Number(text.replace(',', '.')) > max ? `up to ${max}` : 'above 0');
  };
  const wrong = typed !== null && Number.isNaN(read(typed));
  return <input type="number" inputMode="decimal" min={0} max={max} step={step} aria-invalid={wrong || undefined} aria-describedby={describedBy} value={typed ?? (value === null ? '' : String(Number(value.toPrecision(5))))} onChange={(event) => take(event.target.value)} onBlur={() => { setTyped(null); onWrong?.(null); }} />;
}
