import { CommanderError } from 'commander';
import { UserError } from '../contract/errors.js';

/**
 * One line for standard error: what is wrong and what to do about it, never a stack.
 * Errors nobody foresaw are named as such, with what to send along when reporting them.
 */
export function failureLine(error: unknown): string {
  const text = error instanceof UserError ? error.line
    : error instanceof CommanderError ? optionMistake(error)
      : `Something went wrong that should not have: ${messageOf(error)}. Please report it with the command you typed; RUNGWISE_DEBUG=1 shows the details.`;
  return `rungwise: ${text.replace(/\s+/g, ' ').trim()}\n`;
}

function messageOf(error: unknown): string {
  return (error instanceof Error ? error.message : String(error)).replace(/\.$/, '');
}

function optionMistake(error: CommanderError): string {
  const message = error.message.replace(/^error: /, '').replace(/\s+/g, ' ').trim();
  const sentence = message.charAt(0).toUpperCase() + message.slice(1);
  const stop = /[.)?]$/.test(sentence) ? '' : '.';
  return `${sentence}${stop} Add --help to see what there is.`;
}
