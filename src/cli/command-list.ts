import type { Command } from 'commander';
import type { CommandContext } from './command-context.js';
import { registerCheck } from './commands/check-command.js';
import { registerOrder } from './commands/order-command.js';
import { registerPlan } from './commands/plan-command.js';
import { registerRail } from './commands/rail-command.js';
import { registerRig } from './commands/rig-command.js';
import { registerServe } from './commands/serve-command.js';
import { registerWatch } from './commands/watch-command.js';

/** A command adds itself to the program; one file a command, in commands/NAME-command.ts. */
export type RegisterCommand = (program: Command, context: CommandContext) => void;

/** In the order the help shows them. */
export const commandList: readonly RegisterCommand[] = [registerCheck, registerWatch, registerPlan, registerRail, registerOrder, registerRig, registerServe];
