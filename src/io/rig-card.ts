import { readFile } from 'node:fs/promises';
import path from 'node:path';
import * as z from 'zod/mini';
import { UserError } from '../contract/errors.js';
import { limitText, rigLimits, type Limit, type RigKey } from './rig-limits.js';

export const RIG_SCHEMA = 'rungwise.rig/1';

const value = (key: RigKey): z.ZodMiniOptional<z.ZodMiniNumber> => {
  const limit: Limit = rigLimits[key];
  const message = `must be a number ${limitText(limit)}`;
  return z.optional(z.number({ error: message }).check(z.minimum(limit.min, message), z.maximum(limit.max, message)));
};

/** Published as docs/rig-card.schema.json. */
export const rigCardSchema = z.strictObject({
  schema: z.literal(RIG_SCHEMA),
  name: z.string({ error: 'must be a text' }).check(z.minLength(1, 'must not be empty'), z.maxLength(200, 'must be at most 200 letters')),
  cameraModel: z.optional(z.string({ error: 'must be a text' })),
  magnification: value('magnification'),
  fNumber: value('fNumber'),
  pupilRatio: value('pupilRatio'),
  pixelPitchUm: value('pixelPitchUm'),
  wavelengthNm: value('wavelengthNm'),
  railUnitUm: value('railUnitUm'),
  workingDistanceMm: value('workingDistanceMm'),
});

/** A saved set-up. What is not known is left out. */
export type RigCard = z.infer<typeof rigCardSchema>;

/**
 * Reads a rig card from a file.
 * @throws UserError where the file is missing, is no rig card, comes from a later version or holds a value out of range
 */
export async function loadRigCard(file: string): Promise<RigCard> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    const why = error.code === 'ENOENT' ? 'there is no such file' : error.code === 'EISDIR' ? 'it is a folder' : `it can't be read (${error.code ?? error.message})`;
    throw new UserError(`Rig card ${file}: ${why}.`, 'Check the name after --rig.');
  });
  return parseRigCard(text, path.basename(file));
}

/** @throws UserError as loadRigCard does */
export function parseRigCard(text: string, name: string): RigCard {
  const whole = parseJson(text, name);
  const stated = typeof whole === 'object' && whole !== null && 'schema' in whole ? String(whole.schema) : '';
  if (stated !== RIG_SCHEMA) throw otherSchema(stated, name);
  const parsed = rigCardSchema.safeParse(whole);
  if (parsed.success) return parsed.data;
  throw new UserError(`Rig card ${name}: ${parsed.error.issues.map(explain).join('; ')}.`, 'Mend the card in a text editor, or leave the value out.');
}

function parseJson(text: string, name: string): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch {
    throw new UserError(`Rig card ${name} is damaged: it is not complete JSON.`, 'Restore it from a copy, or give the values as options.');
  }
}

function otherSchema(stated: string, name: string): UserError {
  const later = /^rungwise\.rig\/(\d+)$/.exec(stated);
  return later
    ? new UserError(`Rig card ${name} was saved by a later version (${stated}).`, 'Update rungwise, or give the values as options.')
    : new UserError(`${name} is not a rig card: it should begin with "schema": "${RIG_SCHEMA}".`, 'Choose a rig card, or give the values as options.');
}

function explain(issue: z.core.$ZodIssue): string {
  if (issue.code === 'unrecognized_keys') return `does not know ${issue.keys.map((key) => `"${key}"`).join(', ')}`;
  return `"${issue.path.join('.')}" ${issue.message}`;
}
