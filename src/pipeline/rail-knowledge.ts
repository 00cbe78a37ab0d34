import type { RailKnowledge } from '../optics/top-up-moves.js';
import type { RigValues } from './analyse-request.js';

/** What a top-up needs to know of the rail, out of all that is known of the set-up. */
export const railKnowledge = ({ railUnitUm, workingDistanceMm }: RigValues): RailKnowledge => ({ railUnitUm: railUnitUm?.value ?? null, workingDistanceMm: workingDistanceMm?.value ?? null });
