import type { IncomingMessage } from 'node:http';
import { UserError } from '../../contract/errors.js';

/** A question is a few hundred bytes; a rig card a little more. */
export const BODY_LIMIT_BYTES = 64 * 1024;

/** @throws UserError where the body is too long or not JSON. */
export async function readJsonBody(request: IncomingMessage): Promise<unknown> {
  const parts: Buffer[] = [];
  let length = 0;
  for await (const part of request as AsyncIterable<Buffer>) {
    length += part.length;
    if (length > BODY_LIMIT_BYTES) throw new UserError('The question to the program is too long.', 'Reload the window.');
    parts.push(part);
  }
  try {
    return JSON.parse(Buffer.concat(parts).toString('utf8')) as unknown;
  } catch {
    throw new UserError('The question to the program was not understood.', 'Reload the window.');
  }
}
