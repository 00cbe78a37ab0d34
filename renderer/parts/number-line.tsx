import { useState } from 'react';
import { NumberField } from './number-field.js';

/** One line of a form: name and unit, the number, and where it comes from or what it means. */
export function NumberLine({ name, unit = '', note = '', noteKind = '', ...field }: { name: string; unit?: string; note?: string; noteKind?: string; value: number | null; step: number; max?: number; onChange: (value: number | null) => void }) {
  const [wrong, setWrong] = useState<string | null>(null);
  return <label className="line"><span>{name}{unit && <small> {unit}</small>}</span><NumberField {...field} onWrong={setWrong} /><em className={wrong === null ? noteKind : 'unknown'}>{wrong ?? note}</em></label>;
}
