/** What was copied in depth order: schema rungwise.order/1, the result of `rungwise order --json`. Field names are fixed. */

export const ORDER_SCHEMA = 'rungwise.order/1';

/** A copy and what it is of. */
export interface OrderedFrame {
  /** 1 for the first along the axis. */
  number: number;
  /** Name in the new folder. */
  file: string;
  /** Name in the stack's folder. */
  original: string;
  positionDof: number | null;
  positionUm: number | null;
}

export interface OrderReport {
  schema: typeof ORDER_SCHEMA;
  /** The stack's folder, and the new one. */
  from: string;
  folder: string;
  /** Which end comes first: near, or one of the two where the pictures don't show which is near. */
  first: 'near' | 'unknown';
  copied: OrderedFrame[];
  leftOut: { file: string; why: string }[];
}
